"""Pages of plans: the evening before, the sheet for the pocket, and kept or not afterwards. The owner's alone."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import URLPattern, URLResolver, path, reverse
from django.views.decorators.http import require_safe

from league import access
from league.estimates.progress import CLASSIC, next_barrier
from league.models import Plan, Player, Tee
from league.reports import plans as reports
from league.reports.plans import PlanTold
from league.reports.progress import NoOutlook, open_barriers, outlook_of
from league.rules.errors import RuleBroken
from league.services import plans
from league.services.errors import Refused, Stale
from league.services.rounds import today_at
from league.web.doors import account_of, form_page, player_of, signed_in
from league.web.forms import form_shown, see_other, send_once
from league.web.plan_forms import AnewForm, DayForm, HoleForm, KeptForm, PlanForm, entries_of
from league.web.rounds import chosen_tee, tees_of

USUAL_BARRIER = 100
"""Offered to whom nothing is known of."""


@signed_in
@require_safe
def plan_list(request: HttpRequest) -> HttpResponse:
    """What do I intend next, and what came of it?"""
    player = player_of(request)
    held = reports.plans_of(player)
    page = {
        "plans": [reports.plan_told(plan) for plan in held],
        "next": reports.next_plan(player, today_at(None, player)),
        "kept": reports.kept_of(player),
        "has_tees": bool(tees_of(request)),
    }
    return render(request, "league/plans.html", page)


@signed_in
@form_page
def plan_new(request: HttpRequest) -> HttpResponse:
    player = player_of(request)
    tees = tees_of(request)
    if request.method != "POST":
        tee = chosen_tee(request, player, tees)
        if tee is None:
            return render(request, "league/round_no_tee.html", {"player": player, "heading": "A plan"})
        newest = next((one.pk for one in tees if one.set_id == tee.set_id), tee.pk)
        form = PlanForm(tees, initial={"tee": newest, "barrier": _barrier_for(player, tee)})
        return form_shown(request, "league/plan_new.html", form)
    form = PlanForm(tees, request.POST)
    if not form.is_valid():
        return form_shown(request, "league/plan_new.html", form)

    def act() -> str:
        facts = _facts(form)
        chosen = access.tee_for(account_of(request), form.cleaned_data["tee"].pk)
        material = reports.material_for(player, chosen, facts.barrier, facts.for_day, facts.conditions)
        today = today_at(chosen, player)
        made = plans.make_plan(player=player, tee=chosen, facts=facts, material=material, from_day=today)
        return reverse("plan", args=[made.pk])

    try:
        return send_once(request, act)
    except RuleBroken as broken:
        form.take(broken)
        return form_shown(request, "league/plan_new.html", form)
    except Refused as refused:
        form.add_error(None, refused.message)
        return form_shown(request, "league/plan_new.html", form, status=409)


def _barrier_for(player: Player, tee: Tee) -> int:
    """The barrier that the home page speaks of there."""
    outlook = outlook_of(player, tee, today_at(tee, player))
    if not isinstance(outlook, NoOutlook) and outlook.first:
        return outlook.first.score
    held = open_barriers(player, tee)
    return held[0].score if held else next_barrier(USUAL_BARRIER + 1, CLASSIC) or USUAL_BARRIER


def _facts(form: DayForm) -> plans.PlanFacts:
    entered = form.cleaned_data
    return plans.PlanFacts(barrier=entered["barrier"], for_day=entered["for_day"], conditions=form.conditions())


@signed_in
@require_safe
def plan_page(request: HttpRequest, plan_id: str) -> HttpResponse:
    """What do I intend on each hole?"""
    told = _told(request, plan_id)
    return render(request, "league/plan.html", {"told": told, "plan": told.plan})


def _told(request: HttpRequest, plan_id: str) -> PlanTold:
    return reports.plan_told(access.own_plan(account_of(request), plan_id))


@signed_in
@require_safe
def plan_sheet(request: HttpRequest, plan_id: str) -> HttpResponse:
    """One sheet of A5 for the pocket."""
    told = _told(request, plan_id)
    return render(request, "league/plan_sheet.html", {"told": told, "plan": told.plan})


@signed_in
@form_page
def plan_hole(request: HttpRequest, plan_id: str, number: int) -> HttpResponse:
    """One hole in full, and what its owner decides there."""
    told = _told(request, plan_id)
    hole = next((one for one in told.holes if one["number"] == number), None)
    if hole is None:
        raise Http404
    if request.method != "POST":
        return _hole_page(request, told, hole, HoleForm(initial=_decided(told.plan, number)))
    form = HoleForm(request.POST)
    if not form.is_valid():
        return _hole_page(request, told, hole, form)
    entered = form.cleaned_data
    change = plans.HoleChange(**{name: entered[name] for name in ("personal_par", "stance", "club", "note")})
    try:
        plans.change_hole(plan=told.plan, number=number, change=change, if_version=form.seen_version)
    except RuleBroken as broken:
        form.take(broken)
        return _hole_page(request, told, hole, form)
    except Stale as stale:
        form.keep_against(_version_of(stale))
        form.add_error(None, "The plan was changed meanwhile. Your entries are kept; send them again to replace it.")
        return _hole_page(request, _told(request, plan_id), hole, form, status=409)
    messages.success(request, f"Hole {number} is as you decided; the sum is still {told.told['last']}.")
    return see_other(reverse("plan", args=[plan_id]) + f"#hole-{number}")


def _hole_page(
    request: HttpRequest, told: PlanTold, hole: dict[str, Any], form: HoleForm, status: int = 0
) -> HttpResponse:
    page = {"told": told, "plan": told.plan, "hole": hole, "after": hole["number"] + 1 if hole["number"] < 18 else None}
    return form_shown(request, "league/plan_hole.html", form, status=status, **page)


def _decided(plan: Plan, number: int) -> dict[str, Any]:
    own = next(hole for hole in plan.holes.all() if hole.number == number)
    par = own.personal_par if own.is_fixed else None
    return {"personal_par": par, "stance": own.stance, "club": own.club, "note": own.note, "version": plan.version}


def _version_of(stale: Stale) -> int:
    assert isinstance(stale.stored, Plan)
    return stale.stored.version


@signed_in
@form_page
def plan_anew(request: HttpRequest, plan_id: str) -> HttpResponse:
    """Worked out again with what is known now."""
    plan = access.own_plan(account_of(request), plan_id)
    if request.method != "POST":
        initial = {"barrier": plan.barrier, "for_day": plan.for_day, "version": plan.version}
        form = AnewForm(initial={**entries_of(plan.conditions), **initial})
        return form_shown(request, "league/plan_anew.html", form, plan=plan)
    form = AnewForm(request.POST)
    if not form.is_valid():
        return form_shown(request, "league/plan_anew.html", form, plan=plan)
    try:
        facts = _facts(form)
        tee = access.tee_for(account_of(request), plan.tee_id)
        material = reports.material_for(plan.player, tee, facts.barrier, facts.for_day, facts.conditions)
        plans.work_out_anew(
            plan=plan,
            facts=facts,
            material=material,
            if_version=form.seen_version,
            from_day=today_at(tee, plan.player),
        )
    except RuleBroken as broken:
        form.take(broken)
        return form_shown(request, "league/plan_anew.html", form, plan=plan)
    except Stale as stale:
        form.keep_against(_version_of(stale))
        form.add_error(None, "The plan was changed meanwhile. Send it again to work out what stands now.")
        return form_shown(request, "league/plan_anew.html", form, status=409, plan=plan)
    messages.success(request, "Worked out with what is known now. What you fixed stayed.")
    return see_other(reverse("plan", args=[plan_id]))


@signed_in
@form_page
def plan_kept(request: HttpRequest, plan_id: str) -> HttpResponse:
    """Was it kept, hole by hole?"""
    told = _told(request, plan_id)
    rounds = reports.rounds_beside(told.plan)
    numbers = [hole["number"] for hole in told.holes]
    page: dict[str, Any] = {"told": told, "plan": told.plan, "has_rounds": bool(rounds)}
    if request.method != "POST":
        marks = {True: "yes", False: "no"}
        answers = {f"h{hole['number']}": marks.get(hole["is_kept"], "") for hole in told.holes}
        asked = request.GET.get("round") or told.plan.round_id
        form = KeptForm(rounds, numbers, initial={**answers, "round": asked, "version": told.plan.version})
        return form_shown(request, "league/plan_kept.html", form, **page)
    form = KeptForm(rounds, numbers, request.POST)
    if not form.is_valid():
        return form_shown(request, "league/plan_kept.html", form, **page)
    try:
        plans.answer_kept(
            plan=told.plan, played=form.cleaned_data["round"], answers=form.answers(), if_version=form.seen_version
        )
    except RuleBroken as broken:
        form.take(broken)
        return form_shown(request, "league/plan_kept.html", form, **page)
    except Refused as refused:
        if isinstance(refused, Stale):
            form.keep_against(_version_of(refused))
        form.add_error(None, refused.message)
        return form_shown(request, "league/plan_kept.html", form, status=409, **page)
    messages.success(request, "Noted.")
    return see_other(reverse("plan", args=[plan_id]) + "#kept")


@signed_in
@form_page
def plan_remove(request: HttpRequest, plan_id: str) -> HttpResponse:
    plan = access.own_plan(account_of(request), plan_id)
    if request.method != "POST":
        return render(request, "league/plan_remove.html", {"plan": plan})
    plans.remove_plan(plan=plan)
    messages.success(request, "The plan is gone. Your rounds stay as they are.")
    return see_other(reverse("plans"))


urlpatterns: list[URLPattern | URLResolver] = [
    path("plans/", plan_list, name="plans"),
    path("plans/new/", plan_new, name="plan_new"),
    path("plans/<uuid:plan_id>/", plan_page, name="plan"),
    path("plans/<uuid:plan_id>/sheet/", plan_sheet, name="plan_sheet"),
    path("plans/<uuid:plan_id>/holes/<int:number>/", plan_hole, name="plan_hole"),
    path("plans/<uuid:plan_id>/anew/", plan_anew, name="plan_anew"),
    path("plans/<uuid:plan_id>/kept/", plan_kept, name="plan_kept"),
    path("plans/<uuid:plan_id>/remove/", plan_remove, name="plan_remove"),
]
