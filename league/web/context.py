"""What stands at the head and foot of every page: whose sheet it is, and the contents with their present facts."""

from typing import Any, NamedTuple

from django.http import HttpRequest
from django.urls import reverse
from django.utils.functional import SimpleLazyObject

from league import charts
from league.models import Account, Player, Role
from league.reports.members import SheetFacts, sheet_facts

CHOSEN_GROUP = "group"
"""In the session: which of several groups stands at the head."""


class Entry(NamedTuple):
    label: str
    url: str
    fact: str
    current: bool


class Sheet(NamedTuple):
    group_name: str = ""
    group_url: str = ""
    player_name: str = ""
    player_url: str = ""
    theme: str = ""
    contents: tuple[Entry, ...] = ()
    short: tuple[Entry, ...] = ()


def sheet(request: HttpRequest) -> dict[str, Any]:
    """Three statements, and none on a page that does not ask for it."""
    return {"sheet": SimpleLazyObject(lambda: _sheet(request))}


def _sheet(request: HttpRequest) -> Sheet:
    account = getattr(request, "user", None)
    player = Player.objects.filter(account=account).first() if isinstance(account, Account) else None
    if player is None:
        return Sheet()
    facts = sheet_facts(player, request.session.get(CHOSEN_GROUP, ""))
    contents = _contents(request, facts)
    wanted = ("Next round", "Card", "Group")
    return Sheet(
        group_name=facts.place.group.name if facts.place else "",
        group_url=reverse("group", args=[facts.place.group_id]) if facts.place else "",
        player_name=player.name,
        player_url=reverse("settings"),
        theme=player.theme,
        contents=contents,
        short=(
            *(entry for entry in contents if entry.label in wanted),
            Entry("Contents", "#contents", "", False),
        ),
    )


def _contents(request: HttpRequest, facts: SheetFacts) -> tuple[Entry, ...]:
    group = [facts.place.group_id] if facts.place else None
    me = [facts.player.pk]
    lines: list[tuple[str, str, list[Any] | None, str]] = [
        ("Next round", "home", [], _stand(facts)),
        ("Plan", "plans", [], ""),
        ("Card", "card", [], ""),
        ("Post a round", "round_new", [], _last(facts)),
        ("Rounds", "rounds", [], _counted(facts.n_rounds, "round")),
        ("Ledger", "ledger", me, _counted(facts.n_revisions, "revision")),
        ("Progress", "progress", [], ""),
        ("Carry book", "carry_book", [], ""),
        ("Practice", "practice", [], ""),
        ("Journal", "journal", [], ""),
        ("Group", "group", group, _people(facts.n_members)),
        ("Courses", "courses", [], _counted(facts.n_courses, "course")),
        ("Rounds from a file", "imports", [], ""),
        ("Settings", "settings", [], facts.player.length_unit),
        ("About the numbers", "numbers", [], ""),
        ("About the API", "api", [], ""),
    ]
    if facts.place and facts.place.role == Role.ORGANISER:
        before = next(place for place, one in enumerate(lines) if one[1] == "courses")
        lines.insert(before, ("Organiser’s desk", "desk", group, ""))
    return tuple(
        _entry(request, label, reverse(name, args=args), fact) for label, name, args, fact in lines if args is not None
    )


def _entry(request: HttpRequest, label: str, url: str, fact: str) -> Entry:
    return Entry(label, url, fact, request.path == url)


def _stand(facts: SheetFacts) -> str:
    if facts.index_tenths is None:
        return "no index yet" if facts.n_revisions else ""
    return f"index {charts.index_words(facts.index_tenths)}"


def _people(count: int) -> str:
    return "you alone" if count == 1 else f"{count} people" if count else ""


def _last(facts: SheetFacts) -> str:
    return f"last {charts.day_words(facts.last_played_on)}" if facts.last_played_on else ""


def _counted(count: int, noun: str) -> str:
    return f"{count} {noun}{'' if count == 1 else 's'}" if count else ""
