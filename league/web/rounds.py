"""Pages about rounds: the list, a new card, one round, its correction, withdrawal and attestation."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import URLPattern, URLResolver, path, reverse
from django.views.decorators.http import require_safe

from league import access
from league.access import Relation
from league.models import HolesInPlay, Player, Round, Tee
from league.reports.plans import plan_beside, plan_waiting
from league.reports.rounds import round_card, round_cards, rounds_of, rounds_table, with_cards
from league.services import rounds
from league.services.errors import Refused, Stale
from league.web.doors import account_of, form_page, player_of, signed_in
from league.web.forms import form_shown, see_other, send_once
from league.web.round_forms import HOLES_WORDS, AttestForm, CorrectionForm, RoundForm, WithdrawForm, initial_of

ROUNDS_A_PAGE = 40


def whose(request: HttpRequest) -> Player:
    """The player whose cards the page is about: `?player=`, else the reader."""
    asked = request.GET.get("player") or request.POST.get("player")
    return access.player_to_keep(account_of(request), asked) if asked else player_of(request)


def tees_of(request: HttpRequest) -> list[Tee]:
    """Tees that the reader may post on, the newest version of each set, by course."""
    tees = (
        Tee.objects.filter(course__in=access.visible_courses(account_of(request)))
        .select_related("course__group")
        .order_by("course__name", "course_id", "name", "rated_for", "valid_from")
    )
    newest = {tee.set_id: tee for tee in tees}
    return list(newest.values())


def chosen_tee(request: HttpRequest, player: Player, tees: list[Tee]) -> Tee | None:
    """The tee asked for, else the one last played, else the home tee, else the first rated for the player."""
    asked = request.GET.get("tee") or request.POST.get("tee")
    if asked:
        return access.tee_for(account_of(request), asked)
    last = rounds_of(player).first()
    sets = {tee.set_id: tee for tee in tees}
    for known in (last.tee if last else None, player.home_tee):
        if known is not None and known.set_id in sets:
            return sets[known.set_id]
    rated = [tee for tee in tees if tee.rated_for == player.rated_for]
    return next(iter(rated or tees), None)


def holes_choices(tee: Tee) -> list[tuple[str, str]]:
    """What may be played on this tee: nines only where they have a rating of their own."""
    if tee.course.n_holes == 9:
        return [(str(choice.value), str(choice.label)) for choice in (HolesInPlay.NINE, HolesInPlay.TWICE)]
    found: list[HolesInPlay] = [HolesInPlay.EIGHTEEN]
    if tee.front_slope_rating is not None:
        found.append(HolesInPlay.FRONT)
    if tee.back_slope_rating is not None:
        found.append(HolesInPlay.BACK)
    return [(str(choice.value), str(choice.label)) for choice in found]


@signed_in
@form_page
def round_new(request: HttpRequest) -> HttpResponse:
    player = whose(request)
    tees = tees_of(request)
    tee = chosen_tee(request, player, tees)
    if tee is None:
        return render(request, "league/round_no_tee.html", {"player": player})
    source = request.POST if request.method == "POST" else request.GET
    choices = holes_choices(tee)
    holes_in_play = source.get("holes", "")
    if holes_in_play not in dict(choices):
        holes_in_play = choices[0][0]
    by_total = source.get("by") == "total"
    form = RoundForm(
        request.POST or None,
        player=player,
        tee=tee,
        holes_in_play=holes_in_play,
        by_total=by_total,
        mates=access.visible_players(account_of(request)),
        initial={"played_on": rounds.today_at(tee, player)},
    )
    page: dict[str, Any] = {
        "player": player,
        "is_own": player.account_id == account_of(request).pk,
        "kept": access.kept_players(account_of(request)).order_by("name"),
        "tees": tees,
        "tee": tee,
        "holes_choices": choices,
        "holes_in_play": holes_in_play,
        "by_total": by_total,
    }
    if request.method != "POST" or not form.is_valid():
        return form_shown(request, "league/round_new.html", form, **page)

    def act() -> str:
        notes = rounds.unusual_notes(player, form.facts)
        if notes and not form.cleaned_data["confirmed"]:
            raise _AskFirst(notes)
        played = rounds.post_round(player=player, facts=form.facts, posted_by=player_of(request))
        return reverse("round", args=[played.pk])

    try:
        return send_once(request, act)
    except _AskFirst as ask:
        return form_shown(request, "league/round_new.html", form, status=400, asked=ask.notes, **page)


class _AskFirst(Exception):
    """Lawful but unusual: the person looks once more before it is stored."""

    def __init__(self, notes: list[dict[str, str]]) -> None:
        super().__init__()
        self.notes = notes


@signed_in
@require_safe
def round_list(request: HttpRequest) -> HttpResponse:
    player = whose(request)
    paginator = Paginator(rounds_of(player), ROUNDS_A_PAGE)
    shown = paginator.get_page(request.GET.get("page"))
    page = {
        "player": player,
        "is_own": player.account_id == account_of(request).pk,
        "kept": access.kept_players(account_of(request)).order_by("name"),
        "cards": round_cards(shown.object_list, in_full=True),
        "n_rounds": paginator.count,
        "pager": pager(request, shown),
    }
    return render(request, "league/rounds.html", page)


def pager(request: HttpRequest, shown: Any) -> dict[str, str]:
    def url(number: int) -> str:
        query = request.GET.copy()
        query["page"] = str(number)
        return f"?{query.urlencode()}"

    return {
        "newer_url": url(shown.previous_page_number()) if shown.has_previous() else "",
        "older_url": url(shown.next_page_number()) if shown.has_next() else "",
        "said": f"{shown.start_index()} to {shown.end_index()} of {shown.paginator.count}",
    }


@signed_in
@require_safe
def rounds_file(request: HttpRequest) -> HttpResponse:
    answer = HttpResponse(rounds_table(whose(request), player_of(request)), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = 'attachment; filename="rounds.csv"'
    return answer


@signed_in
@require_safe
def round_page(request: HttpRequest, round_id: str) -> HttpResponse:
    seen = access.round_for(account_of(request), round_id)
    played = with_cards(Round.objects.all()).get(pk=seen.row.pk)
    card = round_card(played, in_full=seen.relation.sees_cards)
    page = {
        "card": card,
        "played": played,
        "is_own": seen.relation == Relation.OWNER,
        "sees_card": seen.relation.sees_cards,
        "may_attest": not seen.relation.sees_cards and played.attested_at is None and played.state == "standing",
        "is_organiser": seen.relation == Relation.ORGANISER,
        "attest_form": AttestForm(initial={"version": played.version}),
        "holes_words": HOLES_WORDS[played.holes_in_play],
    }
    if seen.relation == Relation.OWNER:
        page |= {"plan_beside": plan_beside(played), "plan_waiting": plan_waiting(played)}
    return render(request, "league/round.html", page)


@signed_in
@form_page
def round_correct(request: HttpRequest, round_id: str) -> HttpResponse:
    stored = access.round_to_change(account_of(request), round_id)
    stored = with_cards(Round.objects.all()).get(pk=stored.pk)
    if stored.state != "standing":
        raise Http404
    where = _corrected_to(request, stored)
    form = CorrectionForm(
        request.POST or None,
        player=stored.player,
        tee=where["tee"],
        holes_in_play=where["holes_in_play"],
        by_total=where["by_total"],
        mates=access.visible_players(account_of(request)),
        stored=stored,
        initial={**initial_of(stored), "version": stored.version},
    )
    page: dict[str, Any] = {"stored": stored, **where}
    if request.method != "POST" or not form.is_valid():
        return form_shown(request, "league/round_correct.html", form, **page)
    try:
        rounds.correct_round(
            played=stored,
            facts=form.facts,
            version=form.cleaned_data["version"],
            corrected_by=player_of(request),
            reason=form.cleaned_data["reason"],
        )
    except Stale as stale:
        fresh = round_card(with_cards(Round.objects.all()).get(pk=stale.stored.pk), in_full=True)
        form.data = {**form.data.dict(), "version": str(fresh.played.version)}  # type: ignore[attr-defined]
        return form_shown(request, "league/round_correct.html", form, status=409, fresh=fresh, **page)
    messages.success(request, "Stored. The ledger has a new revision where a number changed.")
    return see_other(reverse("round", args=[stored.pk]))


def _corrected_to(request: HttpRequest, stored: Round) -> dict[str, Any]:
    """Tee, holes in play and kind of card that the correction is for: as asked, else as stored."""
    source = request.POST if request.method == "POST" else request.GET
    tees = tees_of(request)
    if stored.tee.set_id not in {tee.set_id for tee in tees}:
        tees.append(stored.tee)
    tee, asked = stored.tee, source.get("tee", "")
    if asked and asked != str(stored.tee_id):
        tee = access.tee_for(account_of(request), asked)
    choices = holes_choices(tee)
    if tee.pk == stored.tee_id and stored.holes_in_play not in dict(choices):
        choices.append((stored.holes_in_play, str(HOLES_WORDS[stored.holes_in_play])))
    holes_in_play = source.get("holes") or stored.holes_in_play
    if holes_in_play not in dict(choices):
        holes_in_play = choices[0][0]
    by_total = source["by"] == "total" if source.get("by") else stored.is_total
    return {
        "tees": tees,
        "tee": tee,
        "holes_choices": choices,
        "holes_in_play": holes_in_play,
        "by_total": by_total,
    }


@signed_in
@form_page
def round_withdraw(request: HttpRequest, round_id: str) -> HttpResponse:
    stored = access.round_to_change(account_of(request), round_id)
    form = WithdrawForm(request.POST or None, initial={"version": stored.version})
    if request.method != "POST" or not form.is_valid():
        return form_shown(request, "league/round_withdraw.html", form, played=stored)
    try:
        rounds.withdraw_round(
            played=stored,
            version=form.cleaned_data["version"],
            withdrawn_by=player_of(request),
            reason=form.cleaned_data["reason"],
        )
    except Refused as refused:
        form.add_error(None, refused.message)
        return form_shown(request, "league/round_withdraw.html", form, status=409, played=stored)
    messages.success(request, "Withdrawn. The ledger keeps the line and says why.")
    return see_other(reverse("round", args=[stored.pk]))


@signed_in
@form_page
def round_attest(request: HttpRequest, round_id: str) -> HttpResponse:
    seen = access.round_to_attest(account_of(request), round_id)
    form = AttestForm(request.POST or None, initial={"version": seen.row.version})
    if seen.relation != Relation.ORGANISER:
        form.fields["on_paper"].widget = form.fields["on_paper"].hidden_widget()
    if request.method != "POST" or not form.is_valid():
        return form_shown(request, "league/round_attest.html", form, played=seen.row)
    on_paper = form.cleaned_data["on_paper"]
    if on_paper and seen.relation != Relation.ORGANISER:
        raise PermissionDenied
    try:
        rounds.attest_round(
            played=seen.row,
            version=form.cleaned_data["version"],
            attested_by=player_of(request),
            on_paper=on_paper,
        )
    except Refused as refused:
        form.add_error(None, refused.message)
        return form_shown(request, "league/round_attest.html", form, status=409, played=seen.row)
    messages.success(request, "Attested.")
    return see_other(reverse("round", args=[seen.row.pk]))


urlpatterns: list[URLPattern | URLResolver] = [
    path("rounds/", round_list, name="rounds"),
    path("rounds/file/", rounds_file, name="rounds_file"),
    path("rounds/new/", round_new, name="round_new"),
    path("rounds/<uuid:round_id>/", round_page, name="round"),
    path("rounds/<uuid:round_id>/correct/", round_correct, name="round_correct"),
    path("rounds/<uuid:round_id>/withdraw/", round_withdraw, name="round_withdraw"),
    path("rounds/<uuid:round_id>/attest/", round_attest, name="round_attest"),
]
