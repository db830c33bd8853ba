"""Everything a person gave or we computed, as one archive they can take along."""

import csv
import io
import json
import zipfile
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.conf import settings
from django.db.models import Q
from django.utils import timezone
from django.utils.module_loading import import_string

from league.exchange.cells import guarded
from league.models import (
    Account,
    Barrier,
    Card,
    CardEvent,
    CardLine,
    CardMark,
    CarryBook,
    Club,
    Course,
    Foretold,
    HoleDescription,
    HolePlan,
    HoleScore,
    Invitation,
    Membership,
    Outlook,
    Plan,
    Player,
    Revision,
    Round,
    RoundImport,
    Shot,
    SignIn,
    Standing,
    Token,
)
from league.reports.members import audit_of_person
from league.rules import rounding

UNOFFICIAL = (
    "Unofficial: computed from your cards after the published Rules of Handicapping; not issued by an authorised body."
)
Read = Callable[[Any], Any]


@dataclass(frozen=True)
class Column:
    name: str
    meaning: str
    read: Read


@dataclass(frozen=True)
class Table:
    """One file of the archive; each row of the database gives one line."""

    name: str
    meaning: str
    columns: tuple[Column, ...]
    rows: Sequence[Any]

    def plain(self) -> list[dict[str, Any]]:
        return [{column.name: _plain(column.read(row)) for column in self.columns} for row in self.rows]


def _plain(value: Any) -> Any:
    if value is None or isinstance(value, bool | int | str | list | dict):
        return value
    if isinstance(value, datetime | date):
        return value.isoformat()
    return str(value)


def _tenths(field: str) -> Read:
    def read(row: Any) -> Decimal | None:
        count = getattr(row, field)
        return None if count is None else rounding.as_decimal(count)

    return read


def _field(name: str) -> Read:
    return lambda row: getattr(row, name)


def _columns(*described: tuple[str, str] | tuple[str, str, Read]) -> tuple[Column, ...]:
    return tuple(Column(one[0], one[1], one[2] if len(one) == 3 else _field(one[0])) for one in described)


def _other_person(player: Player, field: str) -> Read:
    """Who did it: "you", or the name that you see in the group anyway."""

    def read(row: Any) -> str:
        other = getattr(row, field)
        if other is None:
            return ""
        return "you" if other.pk == player.pk else other.name

    return read


def _tee_name(played: Round | Plan | Card) -> str:
    return f"{played.tee.course.name}, {played.tee.name}"


ACCOUNT = _columns(
    ("email", "the address you sign in with"),
    ("created_at", "when the account was made"),
    ("last_login", "when you signed in last"),
    ("erase_due_at", "when the account is to be erased; empty if you did not ask for it"),
)
PLAYER = _columns(
    ("id", "your number as a player"),
    ("name", "your name as others see it"),
    ("joined_on", "your first day; rounds before it count as entered on the day they were played"),
    ("length_unit", "yards or metres"),
    ("rated_for", "whose course and slope ratings are used for you"),
    ("home_tee", "the tee offered first", lambda player: player.home_tee and str(player.home_tee)),
    ("theme", "light, dark, or empty for what the device says"),
    ("is_under_18", "whether the box “under 18” is set"),
)
MEMBERSHIPS = _columns(
    ("group", "the group", lambda place: place.group.name),
    ("role", "what you may do there"),
    ("hides_lines", "whether you show your index only"),
    ("joined_at", "when you came"),
    ("left_at", "when you left, if you did"),
    ("left_reason", "the reason given if you were removed"),
)
STANDING = _columns(
    ("index", f"your index now. {UNOFFICIAL}", _tenths("index_tenths")),
    ("low_index", "your lowest index of the year that the caps are measured from", _tenths("low_tenths")),
    ("n_scores", "scores in your record"),
    ("last_number", "number of the last revision"),
)
ROUNDS = _columns(
    ("id", "number of the round"),
    ("played_on", "day at the course"),
    ("order_in_day", "first or later round of that day"),
    ("tee", "course and tee", _tee_name),
    ("holes_in_play", "18, front, back, nine, or twice round nine holes"),
    ("n_holes", "holes that count"),
    ("is_total", "posted as a total, without holes"),
    ("gross", "strokes; empty when a hole was picked up without a number"),
    ("adjusted_gross", "strokes after the hole caps (Rule 3.1)"),
    ("differential", "score differential (Rule 5.1)", _tenths("differential_tenths")),
    ("no_differential_reason", "why there is no differential, if there is none"),
    ("is_estimated", "holes not played were filled in after Rule 3.2"),
    ("playing_conditions", "playing conditions adjustment (Rule 5.6)"),
    ("playing_conditions_from", "where that number came from"),
    ("not_played_reason", "why holes were not played"),
    ("marker_name", "who marked the card"),
    ("note", "your note"),
    ("ref", "your own reference"),
    ("state", "standing or withdrawn"),
    ("entered_at", "when it was entered"),
    ("attested_at", "when a group mate attested it"),
)
HOLES = _columns(
    ("round_id", "number of the round"),
    ("number", "hole"),
    ("strokes", "strokes; empty when picked up without a number"),
    ("is_picked_up", "picked up"),
    ("putts", "putts"),
    ("penalties", "penalty strokes"),
    ("first_putt_is_long", "the first putt was from beyond 20 feet"),
    ("strokes_from_60", "strokes from inside about 60 yards, putts included"),
    ("had_recovery", "a shot only brought the ball back into play"),
)
BARRIERS = _columns(
    ("score", "the gross score to get under"),
    ("tee", "where; empty for any tee", lambda barrier: str(barrier.tee) if barrier.tee else ""),
    ("is_hidden", "kept to yourself"),
    ("set_on", "when you set it"),
    ("broken_on", "the day it fell, if it did"),
    ("broken_by_id", "number of the round that is the proof"),
    ("told", "its leak ladder and what-ifs as last worked out, as data"),
)
OUTLOOK = _columns(
    ("n_rounds", "rounds of eighteen holes that it rests on"),
    ("level", "your level and spread as last worked out, as data"),
    ("told", "leak ladder and what-ifs of the barrier spoken of when none of yours is open, as data"),
    ("computed_at", "when"),
)
FORETOLD = _columns(
    ("round_id", "number of the round"),
    ("played_on", "day of the round"),
    ("is_hindsight", "worked out afterwards, from earlier rounds only"),
    ("n_before", "rounds that it rested on"),
    ("gross", "what came of it"),
    ("course_rating", "rating of the tee"),
    ("slope_rating", "slope of the tee"),
    ("mode", "most likely differential"),
    ("left", "spread below it"),
    ("right", "spread above it"),
    ("freedom", "degrees of freedom of the Student t"),
)
CARRY_BOOK = _columns(
    ("length_unit", "the unit of every distance in the book"),
    ("liked_distance", "the distance you like to leave"),
    ("from_rough", "your note: from rough"),
    ("from_bare", "your note: from bare ground"),
    ("ball_above", "your note: with the ball above the feet"),
    ("ball_below", "your note: with the ball below the feet"),
)
CLUBS = _columns(
    ("id", "number of the club"),
    ("name", "its name"),
    ("kind", "driver, wood, hybrid, iron, wedge or putter"),
    ("loft", "degrees", _tenths("loft_tenths")),
    ("carry", "its usual carry as typed"),
    ("long_spread", "standard deviation in length as typed"),
    ("wide_spread", "standard deviation in direction as typed, in degrees", _tenths("wide_tenths")),
    ("curve", "to which side it curves"),
    ("curve_by", "how far off its starting line it lands"),
    ("is_carried", "carried in a round"),
)
SHOTS = _columns(
    ("id", "number of the shot"),
    ("club_id", "number of the club"),
    ("carry", "how far it flew"),
    ("off_line", "how far off the line it landed, right positive"),
    ("hit_on", "the day"),
    ("batch", "the same for all shots of one file"),
)
PLANS = _columns(
    ("id", "number of the plan"),
    ("tee", "course and tee", _tee_name),
    ("holes_in_play", "18, front, back, nine, or twice round nine holes"),
    ("barrier", "the gross score to get under"),
    ("for_day", "the day it is for"),
    ("conditions", "the day as you typed it, as data"),
    ("told", "the whole plan as it was worked out, as data"),
    ("round_id", "number of the round played by it"),
    ("created_at", "when it was made"),
    ("worked_out_at", "when it was last worked out"),
)
HOLE_PLANS = _columns(
    ("plan_id", "number of the plan"),
    ("number", "hole"),
    ("personal_par", "the score on this hole that, added up, meets the barrier"),
    ("is_fixed", "set by your own hand"),
    ("stance", "your own choice: attack, measured or protect"),
    ("club", "your own choice of club"),
    ("note", "your note"),
    ("is_kept", "whether you kept to it, as you said afterwards"),
)
CARD_LINES = _columns(
    ("id", "number of the line"),
    ("card_id", "number of the card"),
    ("played_on", "day at the course", lambda line: line.card.played_on),
    ("tee", "course and tee", lambda line: _tee_name(line.card)),
    ("holes_in_play", "18, front, back, nine, or twice round nine holes", lambda line: line.card.holes_in_play),
    ("state", "open, waits for your yes, posted or declined"),
    ("round_id", "number of the round that it became"),
    ("answered_at", "when it was posted or answered"),
)
REVISIONS = _columns(
    ("number", "place in your ledger"),
    ("event_number", "the card event that caused it", lambda revision: revision.event.number),
    ("issued_on", "first day in force"),
    ("index", f"the index from then on. {UNOFFICIAL}", _tenths("index_tenths")),
    ("low_index", "the low index it was capped from", _tenths("low_tenths")),
    ("differential", "differential of the card that caused it", _tenths("differential_tenths")),
    ("edition", "edition of the rules"),
    ("detail", "the full explanation as data"),
)
IMPORTS = _columns(
    ("id", "number of the import"),
    ("state", "how far it got"),
    ("created_at", "when it was checked"),
    ("applied_at", "when its rounds were stored"),
    ("ref", "your own reference"),
    ("rows", "the rows as read"),
    ("notes", "what was said about them"),
)
TOKENS = _columns(
    ("name", "your name for it"),
    ("scopes", "what it may do"),
    ("created_at", "when it was made"),
    ("ends_at", "when it ends by itself"),
    ("last_used_on", "last day of use"),
    ("withdrawn_at", "when it was withdrawn"),
)
SIGN_INS = _columns(
    ("agent", "the browser, as it names itself"),
    ("created_at", "when you signed in"),
    ("last_seen_at", "last seen, to the hour"),
)
INVITATIONS = _columns(
    ("group", "into which group", lambda invitation: invitation.group.name),
    ("role", "the role it gives"),
    ("label", "your label"),
    ("created_at", "when you made it"),
    ("ends_at", "when it ends by itself"),
    ("withdrawn_at", "when it was withdrawn"),
)
DESCRIPTIONS = _columns(
    ("course", "on which course", lambda row: row.course.name),
    ("number", "hole"),
    ("version", "version of its description"),
    ("written_at", "when you wrote it"),
    ("reason", "why, in your words"),
    ("length_unit", "unit of its distances"),
    ("described", "the hole as you described it, as data"),
)
COURSES = _columns(("name", "your own course"), ("place", "where"), ("created_at", "when you entered it"))


def _marks(player: Player) -> tuple[Column, ...]:
    return _columns(
        ("line_id", "number of the line"),
        ("number", "hole"),
        ("value", "what was written, as data; empty for a hole that was cleared"),
        ("state", "standing, contested, replaced, or says the same as another"),
        ("is_set_aside", "a person chose another value"),
        ("written_by", "who wrote it", _other_person(player, "written_by")),
        ("claimed_at", "when, by the clock of that phone"),
        ("written_at", "when it arrived"),
    )


def _events(player: Player) -> tuple[Column, ...]:
    return _columns(
        ("number", "place in the order in which your cards came in"),
        ("kind", "entered, corrected, withdrawn, adjusted or lifted"),
        ("round_id", "number of the round"),
        ("entered_on", "the day it counts as entered"),
        ("recorded_at", "the moment it was stored"),
        ("recorded_by", "who entered it", _other_person(player, "recorded_by")),
        ("reason", "the reason given"),
        ("facts", "what the computation rests on, as data"),
    )


def _record(player: Player) -> tuple[Column, ...]:
    return _columns(
        ("at", "when"),
        ("group", "in which group", lambda entry: entry.group.name if entry.group else ""),
        ("action", "what was done"),
        ("actor", "by whom", _other_person(player, "actor")),
        ("about", "to whom", _other_person(player, "about")),
        ("reason", "the reason given"),
        ("before", "the value before"),
        ("after", "the value after"),
    )


def tables_of(account: Account) -> list[Table]:
    player = Player.objects.select_related("home_tee").get(account=account)
    own_rounds = Round.objects.filter(player=player).select_related("tee__course")
    imports = RoundImport.objects.filter(Q(player=player) | Q(made_by=player, group=None))
    listed: list[tuple[str, str, tuple[Column, ...], Iterable[Any]]] = [
        ("account", "How you sign in.", ACCOUNT, [account]),
        ("player", "Who you are here.", PLAYER, [player]),
        ("memberships", "Your groups, now and before.", MEMBERSHIPS, _places(player)),
        ("standing", "Where you stand.", STANDING, Standing.objects.filter(player=player)),
        ("rounds", "Your rounds as they stand.", ROUNDS, own_rounds.order_by("played_on", "order_in_day", "pk")),
        ("holes", "Your rounds, hole by hole.", HOLES, _holes(player)),
        ("barriers", "Your barriers.", BARRIERS, Barrier.objects.filter(player=player).select_related("tee")),
        ("outlook", "Your outlook.", OUTLOOK, Outlook.objects.filter(player=player)),
        ("foretold", "Outlooks beside the rounds that they foretold.", FORETOLD, _foretold(player)),
        ("carry_book", "Your carry book.", CARRY_BOOK, CarryBook.objects.filter(player=player)),
        ("clubs", "Your clubs.", CLUBS, Club.objects.filter(book__player=player).order_by("-carry", "name")),
        ("shots", "Your measured shots.", SHOTS, Shot.objects.filter(club__book__player=player).order_by("pk")),
        ("plans", "Your plans.", PLANS, _plans(player)),
        ("hole_plans", "Your plans, hole by hole.", HOLE_PLANS, _hole_plans(player)),
        ("card_lines", "Your lines on cards kept while playing.", CARD_LINES, _card_lines(player)),
        ("card_marks", "What was written on those lines.", _marks(player), _card_marks(player)),
        ("card_events", "Your cards in the order they came in.", _events(player), _events_of(player)),
        ("revisions", "Your ledger.", REVISIONS, Revision.objects.filter(player=player).select_related("event")),
        ("imports", "Files of past rounds.", IMPORTS, imports.order_by("created_at")),
        ("courses", "Courses that belong to you alone.", COURSES, Course.objects.filter(owner=player)),
        ("descriptions", "Holes as you described them; they stay with the group.", DESCRIPTIONS, _described(player)),
        ("invitations", "Invitations you made.", INVITATIONS, _invitations(player)),
        ("record", "What you did in groups, and what was done to you.", _record(player), audit_of_person(player)),
        ("tokens", "Your API tokens, without their values.", TOKENS, Token.objects.filter(account=account)),
        ("sign_ins", "Where you are signed in.", SIGN_INS, SignIn.objects.filter(account=account)),
    ]
    own = [Table(name, meaning, columns, list(rows)) for name, meaning, columns, rows in listed]
    others = (import_string(name)(account) for name in settings.LEAGUE_EXPORTS)
    return [*own, *(table for tables in others for table in tables)]


def _places(player: Player) -> Iterable[Membership]:
    return Membership.objects.filter(player=player).select_related("group").order_by("joined_at")


def _holes(player: Player) -> Iterable[HoleScore]:
    return HoleScore.objects.filter(round__player=player).order_by("round__played_on", "round_id", "number")


def _foretold(player: Player) -> Iterable[Foretold]:
    return Foretold.objects.filter(player=player).order_by("played_on", "n_before")


def _plans(player: Player) -> Iterable[Plan]:
    return Plan.objects.filter(player=player).select_related("tee__course").order_by("created_at")


def _hole_plans(player: Player) -> Iterable[HolePlan]:
    return HolePlan.objects.filter(plan__player=player).order_by("plan__created_at", "plan_id", "number")


def _card_lines(player: Player) -> Iterable[CardLine]:
    rows = CardLine.objects.filter(player=player).select_related("card__tee__course")
    return rows.order_by("card__played_on", "card__opened_at")


def _card_marks(player: Player) -> Iterable[CardMark]:
    return CardMark.objects.filter(line__player=player).select_related("written_by").order_by("line_id", "id")


def _events_of(player: Player) -> Iterable[CardEvent]:
    return CardEvent.objects.filter(player=player).select_related("recorded_by")


def _described(player: Player) -> Iterable[HoleDescription]:
    return HoleDescription.objects.filter(written_by=player).select_related("course").order_by("written_at", "pk")


def _invitations(player: Player) -> Iterable[Invitation]:
    return Invitation.objects.filter(invited_by=player).select_related("group").order_by("created_at")


def person_archive(account: Account) -> bytes:
    """A zip: README, one JSON file with everything, one CSV file a table, and what every column means."""
    tables = tables_of(account)
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("README.txt", _readme(tables))
        archive.writestr("everything.json", _as_json(tables))
        archive.writestr("columns.csv", _columns_csv(tables))
        for table in tables:
            rows = [list(row.values()) for row in table.plain()]
            archive.writestr(f"{table.name}.csv", _as_csv([column.name for column in table.columns], rows))
    return packed.getvalue()


def _as_json(tables: Sequence[Table]) -> str:
    body = {"official": False, "taken_at": timezone.now().isoformat(), **{one.name: one.plain() for one in tables}}
    return json.dumps(body, ensure_ascii=False, indent=1)


def _columns_csv(tables: Sequence[Table]) -> str:
    rows = [[f"{table.name}.csv", column.name, column.meaning] for table in tables for column in table.columns]
    return _as_csv(["file", "column", "meaning"], rows)


def _as_csv(heads: Sequence[str], rows: Iterable[Sequence[Any]]) -> str:
    written = io.StringIO()
    writer = csv.writer(written, lineterminator="\r\n")
    writer.writerow(heads)
    writer.writerows([_cell(value) for value in row] for row in rows)
    return written.getvalue()


def _cell(value: Any) -> Any:
    if isinstance(value, list | dict):
        return json.dumps(value, ensure_ascii=False)
    return guarded(value) if isinstance(value, str) else value


def _readme(tables: Sequence[Table]) -> str:
    lines = [
        "Everything you gave this service and everything it computed from that.",
        "",
        f"Index: {UNOFFICIAL}",
        "",
        "everything.json  all of it in one file",
        "columns.csv      what every column means",
        *(f"{table.name + '.csv':<16} {table.meaning}" for table in tables),
        "",
        "Text: UTF-8. Moments: UTC. Days: at the course. An empty cell is not known, never zero.",
        "A cell that a spreadsheet could take for a formula begins with an apostrophe.",
        "",
    ]
    return "\r\n".join(lines)
