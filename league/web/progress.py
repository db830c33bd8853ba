"""Progress, the leaks, what-ifs, barriers; and how well outlooks have come true."""

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import URLPattern, URLResolver, path, reverse
from django.views.decorators.http import require_safe

from league import access
from league.models import Barrier, Tee
from league.models.barriers import HIGHEST_BARRIER, LOWEST_BARRIER
from league.reports import progress as reports
from league.reports.progress import NoOutlook
from league.rules.errors import RuleBroken
from league.services import barriers, rounds
from league.services.errors import Refused
from league.web.doors import account_of, form_page, player_of, press_only, signed_in
from league.web.forms import KeyedForm, form_shown, see_other, send_once
from league.web.rounds import chosen_tee, tees_of


class BarrierForm(KeyedForm):
    score = forms.IntegerField(
        label="Get under",
        min_value=LOWEST_BARRIER,
        max_value=HIGHEST_BARRIER,
        help_text="A gross score for eighteen holes, such as 90.",
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )
    tee = forms.ModelChoiceField(label="Where", queryset=Tee.objects.none(), required=False, empty_label="on any tee")
    is_hidden = forms.BooleanField(label="Keep it to myself", required=False)

    def __init__(self, tees: list[Tee], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["tee"]
        assert isinstance(field, forms.ModelChoiceField)
        field.queryset = Tee.objects.filter(pk__in=[tee.pk for tee in tees]).select_related("course")
        field.label_from_instance = lambda obj: f"{obj.course}, {obj}"  # type: ignore[method-assign]


@signed_in
@require_safe
def progress(request: HttpRequest) -> HttpResponse:
    """Am I getting nearer?"""
    return _progress_page(request, BarrierForm(tees_of(request)))


def _progress_page(request: HttpRequest, form: BarrierForm, status: int = 200) -> HttpResponse:
    player = player_of(request)
    tees = tees_of(request)
    tee = chosen_tee(request, player, tees)
    if tee is None:
        return render(request, "league/round_no_tee.html", {"player": player, "heading": "Progress"})
    held = Barrier.objects.filter(player=player).select_related("tee__course", "broken_by").order_by("-score", "pk")
    outlook = reports.outlook_of(player, tee, rounds.today_at(tee, player))
    first = None if isinstance(outlook, NoOutlook) else outlook.first
    view = reports.progress_of(player, tee, first.score if first else None)
    page = {
        "player": player,
        "tees": tees,
        "tee": tee,
        "outlook": None if isinstance(outlook, NoOutlook) else outlook,
        "missing": outlook.missing if isinstance(outlook, NoOutlook) else 0,
        "view": None if isinstance(view, NoOutlook) else view,
        "barriers": held,
        "ladder": reports.ladder_of(player, first.score) if first else None,
        "first": first,
        "budget": reports.budget_of(tee, first.score) if first else None,
        "form": form,
    }
    return render(request, "league/progress.html", page, status=status)


@signed_in
@form_page
def barrier_new(request: HttpRequest) -> HttpResponse:
    if request.method != "POST":
        return see_other(reverse("progress") + "#barriers")
    form = BarrierForm(tees_of(request), request.POST)
    if not form.is_valid():
        return _progress_page(request, form, status=400)
    entered = form.cleaned_data

    def act() -> str:
        barriers.set_barrier(
            player=player_of(request), score=entered["score"], tee=entered["tee"], is_hidden=entered["is_hidden"]
        )
        return reverse("progress") + "#barriers"

    try:
        return send_once(request, act)
    except RuleBroken as broken:
        form.add_error("score", broken.message)
        return _progress_page(request, form, status=400)
    except Refused as refused:
        form.add_error("score", refused.message)
        return _progress_page(request, form, status=409)


@signed_in
@press_only
def barrier_hide(request: HttpRequest, barrier_id: str) -> HttpResponse:
    barrier = access.own_barrier(account_of(request), barrier_id)
    barriers.hide_barrier(barrier=barrier, is_hidden=not barrier.is_hidden)
    return see_other(reverse("progress") + "#barriers")


@signed_in
@form_page
def barrier_drop(request: HttpRequest, barrier_id: str) -> HttpResponse:
    barrier = access.own_barrier(account_of(request), barrier_id)
    if request.method != "POST":
        return form_shown(request, "league/barrier_drop.html", forms.Form(), barrier=barrier)
    barriers.drop_barrier(barrier=barrier)
    messages.success(request, "Dropped. Your rounds stay as they are.")
    return see_other(reverse("progress") + "#barriers")


@signed_in
@require_safe
def numbers(request: HttpRequest) -> HttpResponse:
    """How is this computed, and how well has it predicted?"""
    account = account_of(request)
    asked = request.GET.get("group")
    group = access.group_for(account, asked).group if asked else None
    page = {
        "judged": reports.judged_view(group),
        "group": group,
        "groups": access.groups_of(account).order_by("name"),
    }
    return render(request, "league/numbers.html", page)


urlpatterns: list[URLPattern | URLResolver] = [
    path("progress/", progress, name="progress"),
    path("numbers/", numbers, name="numbers"),
    path("barriers/new/", barrier_new, name="barrier_new"),
    path("barriers/<uuid:barrier_id>/hide/", barrier_hide, name="barrier_hide"),
    path("barriers/<uuid:barrier_id>/drop/", barrier_drop, name="barrier_drop"),
]
