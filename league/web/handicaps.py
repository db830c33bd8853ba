"""The ledger's pages: every revision, one revision explained, the files to take away; and the player's home."""

from datetime import date, timedelta

from django.core.exceptions import PermissionDenied
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import URLPattern, URLResolver, path, reverse
from django.views.decorators.http import require_safe

from league import access
from league.access import Relation
from league.models import Player
from league.reports import handicaps
from league.reports.cards import card_news
from league.reports.home import home_lines
from league.reports.plans import next_plan
from league.reports.progress import NoOutlook, OutlookView, ladder_of, outlook_of
from league.reports.rounds import last_round, to_attest_again
from league.rules.rounding import as_decimal
from league.services.rounds import today_at
from league.web.doors import account_of, player_of, signed_in
from league.web.forms import see_other
from league.web.rounds import chosen_tee, holes_choices, pager, tees_of

REVISIONS_A_PAGE = 24
FARTHEST_AHEAD = timedelta(days=366)


@require_safe
def front(request: HttpRequest) -> HttpResponse:
    """The front door: the next round for whoever is signed in, the way in for everybody else."""
    return home(request) if request.user.is_authenticated else see_other(reverse("sign_in"))


@signed_in
@require_safe
def home(request: HttpRequest) -> HttpResponse:
    """Where do I stand for my next round?"""
    player = player_of(request)
    tees = tees_of(request)
    tee = chosen_tee(request, player, tees)
    stand = handicaps.stand_of(player)
    course_handicap = target = None
    if tee is not None and stand.index_tenths is not None:
        rated = tee.in_play(tee.usual_holes_in_play)
        course_handicap = rated.course_handicap(as_decimal(stand.index_tenths))
        target = rated.par + course_handicap
    day = _asked_day(request, today_at(tee, player)) if tee else None
    outlook = outlook_of(player, tee, day) if tee and day else None
    first = outlook.first if isinstance(outlook, OutlookView) else None
    page = {
        "player": player,
        "tees": tees,
        "tee": tee,
        "day": day,
        "stand": stand,
        "course_handicap": course_handicap,
        "target": target,
        "outlook": None if outlook is None or isinstance(outlook, NoOutlook) else outlook,
        "ladder": ladder_of(player, first.score) if first else None,
        "last": last_round(player),
        "own_lines": home_lines(player),
        "plan": next_plan(player, day) if day else None,
        "attest_again": to_attest_again(player),
        "card_news": card_news(player),
        "waiting": access.imports_of(account_of(request)).filter(player=player, state="ready"),
    }
    return render(request, "league/home.html", page)


def _asked_day(request: HttpRequest, today: date) -> date:
    """The day of the next round: `?day=`, else today; a day gone by is taken as today."""
    try:
        asked = date.fromisoformat(request.GET.get("day", ""))
    except ValueError:
        return today
    return min(max(asked, today), today + FARTHEST_AHEAD)


@signed_in
@require_safe
def ledger(request: HttpRequest, player_id: str) -> HttpResponse:
    """Why is my index this?"""
    account = account_of(request)
    try:
        seen = access.ledger_for(account, player_id)
    except PermissionDenied:
        return _index_only(request, access.player_for(account, player_id).row)
    player = seen.row
    paginator = Paginator(handicaps.revisions_of(player), REVISIONS_A_PAGE)
    shown = paginator.get_page(request.GET.get("page"))
    latest = handicaps.revisions_of(player).first()
    own = seen.relation.sees_cards
    tees = tees_of(request) if own else []
    tee = chosen_tee(request, player, tees) if own else None
    page = {
        "player": player,
        "is_own": seen.relation == Relation.OWNER,
        "keeps": own,
        "stand": handicaps.stand_of(player),
        "latest": handicaps.revision_page(latest, in_full=own) if latest else None,
        "lines": handicaps.ledger_lines(list(shown.object_list)),
        "staircase": handicaps.staircase(player),
        "pager": pager(request, shown),
        "tees": tees,
        "tee": tee,
        "holes_choices": holes_choices(tee) if tee else [],
        "next_lines": handicaps.next_time(player, tee, tee.usual_holes_in_play) if tee else [],
    }
    return render(request, "league/ledger.html", page)


def _index_only(request: HttpRequest, player: Player) -> HttpResponse:
    return render(request, "league/ledger_hidden.html", {"player": player, "stand": handicaps.stand_of(player)})


@signed_in
@require_safe
def revision(request: HttpRequest, player_id: str, number: int) -> HttpResponse:
    """Why did it become this?"""
    seen, found = access.revision_for(account_of(request), player_id, number)
    page = {
        "player": seen.row,
        "is_own": seen.relation == Relation.OWNER,
        "revision": handicaps.revision_page(found, in_full=seen.relation.sees_cards),
        "before": found.number - 1 if found.number > 1 else None,
        "after": found.number + 1
        if handicaps.revisions_of(seen.row).filter(number=found.number + 1).exists()
        else None,
    }
    return render(request, "league/revision.html", page)


@signed_in
@require_safe
def ledger_file(request: HttpRequest, player_id: str) -> HttpResponse:
    player = access.player_to_keep(account_of(request), player_id)
    answer = HttpResponse(handicaps.ledger_text(player), content_type="application/json")
    answer["Content-Disposition"] = 'attachment; filename="ledger.json"'
    return answer


@signed_in
@require_safe
def ledger_table(request: HttpRequest, player_id: str) -> HttpResponse:
    player = access.player_to_keep(account_of(request), player_id)
    answer = HttpResponse(handicaps.ledger_table(player), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = 'attachment; filename="ledger.csv"'
    return answer


urlpatterns: list[URLPattern | URLResolver] = [
    path("", front, name="home"),
    path("players/<uuid:player_id>/ledger/", ledger, name="ledger"),
    path("players/<uuid:player_id>/ledger/file/", ledger_file, name="ledger_file"),
    path("players/<uuid:player_id>/ledger/table/", ledger_table, name="ledger_table"),
    path("players/<uuid:player_id>/ledger/<int:number>/", revision, name="revision"),
]
