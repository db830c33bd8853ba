"""Past rounds from a file: checked first, stored only when somebody says so, all of them or none."""

import unicodedata
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, fields
from datetime import date
from functools import cache
from typing import Any
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from league.exchange.problems import Note, Problem, Question
from league.exchange.round_row import RoundRow
from league.exchange.rounds_csv import Reading
from league.models import Course, Group, HolesInPlay, Player, Round, RoundImport, RoundState, Tee
from league.rules.errors import RuleBroken
from league.services import rounds
from league.services.audit import note_action
from league.services.errors import Refused
from league.services.rounds import HoleFacts, RoundFacts

READY, APPLIED, UNDONE, DECLINED = "ready", "applied", "undone", "declined"
NINES = {"front 9": HolesInPlay.FRONT, "back 9": HolesInPlay.BACK}
HOLE_FIELDS = tuple(one.name for one in fields(HoleFacts))
COLUMN_OF_HOLE_FIELD = {
    "putts": "putts",
    "penalties": "penalties",
    "strokes_from_60": "shortgame",
    "first_putt_beyond_20ft": "longputt",
}
COLUMN_OF_FIELD = {"played_on": "played_on", "tee": "tee", "holes_in_play": "holes", "gross": "gross"}


@dataclass(frozen=True)
class Placed:
    """A row of the file with its player and tee found. `is_stored`: the same round stands in the record already."""

    row: RoundRow
    player: Player
    facts: RoundFacts
    is_stored: bool


@dataclass
class Checked:
    """What a file would do. Nothing is stored unless `is_ready`."""

    placed: list[Placed] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    questions: list[Question] = field(default_factory=list)
    notes: list[Note] = field(default_factory=list)

    @property
    def is_ready(self) -> bool:
        return not self.problems and not self.questions

    @property
    def n_new(self) -> int:
        return sum(not placed.is_stored for placed in self.placed)


class Places:
    """Finds courses and tees by the names that a person uses for them. The rows are read once for a whole file."""

    def __init__(self, courses: Iterable[Course]) -> None:
        self.courses: dict[str, list[Course]] = defaultdict(list)
        for course in courses:
            self.courses[fold(course.name)].append(course)

    def tee(self, row: RoundRow, player: Player) -> Tee:
        """The version valid on that day, or RuleBroken naming the column."""
        courses = self.courses.get(fold(row.course), [])
        if not courses:
            raise RuleBroken("course_unknown", f"There is no course “{row.course}” here. Add it first.", "course")
        if len(courses) > 1:
            raise RuleBroken("course_twice", f"Two courses are called “{row.course}”. Rename one first.", "course")
        named = [tee for tee in courses[0].tees.all() if fold(tee.name) == fold(row.tee)]
        if not named:
            names = ", ".join(sorted({tee.name for tee in courses[0].tees.all()})) or "none yet"
            raise RuleBroken("tee_unknown", f"{courses[0].name} has no tee “{row.tee}”. It has: {names}.", "tee")
        rated = row.rated or (player.rated_for if len({tee.rated_for for tee in named}) > 1 else named[0].rated_for)
        valid = [tee for tee in named if tee.rated_for == rated and tee.is_valid_on(row.played_on)]
        if not valid:
            text = f"The tee “{row.tee}” has no rating for {rated} on {row.played_on.isoformat()}."
            raise RuleBroken("tee_not_valid", text, "tee")
        return valid[0]


def fold(name: str) -> str:
    return " ".join(unicodedata.normalize("NFC", name).casefold().split())


def check_rounds(
    *, reading: Reading, players: Sequence[Player], default: Player | None, courses: Iterable[Course]
) -> Checked:
    """Place every row of a file that was read. All problems at once, each with its line and column."""
    checked = Checked(problems=list(reading.problems), questions=list(reading.questions), notes=list(reading.notes))
    places, stored, todays = Places(courses), _Stored(), cache(rounds.today_by_course)
    by_name: dict[str, list[Player]] = defaultdict(list)
    for player in players:
        by_name[fold(player.name)].append(player)
    for row in reading.rows:
        try:
            player = _player(row, by_name, default)
            facts = facts_of(row, places.tee(row, player))
        except RuleBroken as broken:
            checked.problems += _problems(row, broken.problems)
            continue
        broken_rules = rounds.facts_problems(player, facts, todays(player)(facts.tee))
        checked.problems += _problems(row, broken_rules)
        if not broken_rules:
            is_stored = stored.has(player, rounds.fingerprint(facts))
            checked.placed.append(Placed(row, player, facts, is_stored))
            if is_stored:
                note = Note(row.row, "", "stored_already", "This round is stored already and will be left out.")
                checked.notes.append(note)
    checked.problems.sort(key=lambda problem: problem.row)
    return checked


class _Stored:
    """How many rounds with a fingerprint each player has; a file's second twin is stored only beside a second."""

    def __init__(self) -> None:
        self.known: dict[UUID, dict[str, int]] = {}

    def has(self, player: Player, fingerprint: str) -> bool:
        if player.pk not in self.known:
            counts: dict[str, int] = defaultdict(int)
            standing = Round.objects.filter(player=player, state=RoundState.STANDING)
            for stored in standing.values_list("fingerprint", flat=True):
                counts[stored] += 1
            self.known[player.pk] = counts
        counts = self.known[player.pk]
        if counts[fingerprint] > 0:
            counts[fingerprint] -= 1
            return True
        return False


def _player(row: RoundRow, by_name: dict[str, list[Player]], default: Player | None) -> Player:
    if not row.player:
        if default is None:
            raise RuleBroken("player_missing", "Name the player whose round this is.", "player")
        return default
    found = by_name.get(fold(row.player), [])
    if len(found) == 1:
        return found[0]
    if found:
        raise RuleBroken("player_twice", f"Two players are called “{row.player}”. Import them one by one.", "player")
    raise RuleBroken(
        "player_unknown", f"Nobody called “{row.player}” is in this group, or they are not yours.", "player"
    )


def _problems(row: RoundRow, broken: Iterable[RuleBroken]) -> list[Problem]:
    return [Problem(row.row, _column(one.field), one.code, one.message) for one in broken]


def _column(name: str) -> str:
    first, _, rest = name.partition(".")
    number, _, last = rest.partition(".")
    if first == "holes" and number:
        return COLUMN_OF_HOLE_FIELD.get(last, "h") + number
    return COLUMN_OF_FIELD.get(name, name)


def facts_of(row: RoundRow, tee: Tee) -> RoundFacts:
    """The row as facts; RuleBroken `holes` where the cell does not say which nine of an eighteen-hole course."""
    return RoundFacts(
        tee=tee,
        played_on=row.played_on,
        holes_in_play=_holes_in_play(row, tee),
        order_in_day=row.order_in_day,
        holes=tuple(
            rounds.hole_facts(number, score) for number, score in enumerate(row.scores, 1) if score is not None
        ),
        gross=None if row.scores else row.gross,
        adjusted_gross=None if row.scores else row.adjusted_gross,
        playing_conditions=row.playing_conditions or 0,
        playing_conditions_from=row.playing_conditions_from,
        not_played_reason=row.reason,
        marker_name=row.marker,
        note=row.note,
        ref=row.ref,
    )


def _holes_in_play(row: RoundRow, tee: Tee) -> str:
    n_holes = len(row.hole_numbers)
    if tee.course.n_holes == 9:
        return HolesInPlay.NINE if n_holes == 9 else HolesInPlay.TWICE
    if n_holes > 9:
        return HolesInPlay.EIGHTEEN
    if row.holes not in NINES:
        raise RuleBroken("holes", "This course has 18 holes: write front 9 or back 9.", "holes")
    return NINES[row.holes]


@transaction.atomic
def prepare_import(*, made_by: Player, group: Group | None, checked: Checked, ref: str = "") -> list[RoundImport]:
    """Keep checked rows until somebody applies them. Rows of players with an account wait for that player's yes."""
    if not checked.is_ready:
        raise Refused("import_not_ready", "Put the problems right first. Nothing was stored.")
    mine: list[Placed] = []
    asked: dict[Player, list[Placed]] = defaultdict(list)
    for placed in checked.placed:
        needs_yes = placed.player.account_id is not None and placed.player.pk != made_by.pk
        (asked[placed.player] if needs_yes else mine).append(placed)
    made = [_import_row(made_by, group, mine, checked.notes, ref)] if mine or not asked else []
    for player, rows in asked.items():
        waiting = _import_row(made_by, group, rows, [], ref)
        waiting.player = player
        waiting.save(update_fields=["player"])
        made.append(waiting)
    return made


def _import_row(
    made_by: Player, group: Group | None, placed: Sequence[Placed], notes: Sequence[Note], ref: str
) -> RoundImport:
    return RoundImport.objects.create(
        group=group,
        made_by=made_by,
        rows=[_plain(one) for one in placed],
        notes=[note._asdict() for note in notes],
        ref=ref,
        created_at=timezone.now(),
    )


def _plain(placed: Placed) -> dict[str, Any]:
    facts = placed.facts
    return {
        "row": placed.row.row,
        "player": str(placed.player.pk),
        "tee": str(facts.tee.pk),
        "played_on": facts.played_on.isoformat(),
        "holes_in_play": str(facts.holes_in_play),
        "order_in_day": facts.order_in_day,
        "holes": [[getattr(hole, name) for name in HOLE_FIELDS] for hole in facts.holes],
        "gross": facts.gross,
        "adjusted_gross": facts.adjusted_gross,
        "playing_conditions": facts.playing_conditions,
        "playing_conditions_from": facts.playing_conditions_from,
        "not_played_reason": facts.not_played_reason,
        "marker_name": facts.marker_name,
        "note": facts.note,
        "ref": facts.ref,
        "is_stored": placed.is_stored,
    }


def _facts(plain: dict[str, Any], tees: dict[str, Tee]) -> RoundFacts:
    kept = {name: plain[name] for name in PLAIN_FIELDS}
    # A file kept by an older version ends earlier in each hole.
    holes = tuple(HoleFacts(**dict(zip(HOLE_FIELDS, hole, strict=False))) for hole in plain["holes"])
    return RoundFacts(tee=tees[plain["tee"]], played_on=date.fromisoformat(plain["played_on"]), holes=holes, **kept)


PLAIN_FIELDS = (
    "holes_in_play",
    "order_in_day",
    "gross",
    "adjusted_gross",
    "playing_conditions",
    "playing_conditions_from",
    "not_played_reason",
    "marker_name",
    "note",
    "ref",
)


@transaction.atomic
def apply_import(*, imported: RoundImport, applied_by: Player) -> RoundImport:
    """Store every row and every revision, or nothing. Applying again changes nothing."""
    fresh = RoundImport.objects.select_for_update().get(pk=imported.pk)
    if fresh.state == APPLIED:
        return fresh
    if fresh.state != READY:
        raise Refused("import_ended", "This import was undone or declined. Read the file again.")
    if fresh.player_id not in (None, applied_by.pk):
        raise Refused("import_waits", "These rounds wait for the player’s own yes.")
    players = _locked_players(fresh, applied_by)
    tees = _locked_tees(fresh)
    for player in players:
        _store_rows(fresh, player, tees, applied_by)
    fresh.state, fresh.applied_at = APPLIED, timezone.now()
    fresh.version += 1
    fresh.save()
    note_action(action="import_applied", actor=applied_by, group=fresh.group, after={"rows": len(fresh.rows)})
    return fresh


def _locked_tees(imported: RoundImport) -> dict[str, Tee]:
    """Nobody deletes or re-rates them meanwhile. After the players, as everybody who posts holds a player first."""
    wanted = {row["tee"] for row in imported.rows}
    tees = Tee.objects.select_for_update(of=("self",), no_key=True).filter(pk__in=wanted).order_by("pk")
    found = {str(tee.pk): tee for tee in tees.select_related("course__group").prefetch_related("holes")}
    lines = [row["row"] for row in imported.rows if row["tee"] not in found]
    if lines:
        raise _outdated(f"Line {lines[0]}: the tee was deleted since the file was read.")
    return found


def _outdated(what: str) -> Refused:
    return Refused("import_outdated", f"{what} Nothing was stored: read the file again.")


def _locked_players(imported: RoundImport, actor: Player) -> list[Player]:
    """Whose rounds these are, in one order for everybody who locks. An account taken up since means asking anew."""
    players = []
    for player_id in sorted({row["player"] for row in imported.rows}):
        player = Player.objects.select_for_update().filter(pk=player_id, erased_at=None).first()
        if player is None:
            raise _outdated("A player of this file is gone.")
        if player.account_id is not None and player.pk != actor.pk:
            raise Refused("import_waits", f"{player.name} has an account now: these rounds need their own yes.")
        players.append(player)
    return players


def _store_rows(imported: RoundImport, player: Player, tees: dict[str, Tee], applied_by: Player) -> None:
    stored, new = _Stored(), []
    for row in imported.rows:
        if row["player"] != str(player.pk):
            continue
        facts = _facts(row, tees)
        is_stored = stored.has(player, rounds.fingerprint(facts))
        if not is_stored and not row["is_stored"]:
            new.append(facts)
    try:
        rounds.post_rounds(player=player, many=new, posted_by=applied_by, from_import=imported)
    except RuleBroken as broken:
        raise _outdated(f"A course or tee was changed since the file was read. {broken.message}") from broken


@transaction.atomic
def undo_import(*, imported: RoundImport, undone_by: Player) -> RoundImport:
    """Withdraw exactly the rounds that this import stored and that still stand."""
    fresh = RoundImport.objects.select_for_update().get(pk=imported.pk)
    if fresh.state == UNDONE:
        return fresh
    if fresh.state != APPLIED:
        raise Refused("import_not_applied", "This import has stored nothing yet.")
    if fresh.player_id not in (None, undone_by.pk):
        raise Refused("import_waits", "The player said yes to these rounds, so only they can undo it.")
    _locked_players(fresh, undone_by)
    standing = Round.objects.filter(from_import=fresh, state=RoundState.STANDING).select_related(
        "player", "tee__course__group"
    )
    newest_first = standing.order_by("player_id", "-played_on", "-order_in_day")
    rounds.withdraw_rounds(many=list(newest_first), withdrawn_by=undone_by, reason="The import was undone.")
    fresh.state = UNDONE
    fresh.version += 1
    fresh.save()
    note_action(action="import_undone", actor=undone_by, group=fresh.group)
    return fresh


@transaction.atomic
def decline_import(*, imported: RoundImport, declined_by: Player) -> RoundImport:
    """Throw checked rows away; nothing of them was stored."""
    fresh = RoundImport.objects.select_for_update().get(pk=imported.pk)
    if fresh.state == DECLINED:
        return fresh
    if fresh.state != READY:
        raise Refused("import_ended", "This import was applied already; undo it instead.")
    fresh.state, fresh.rows, fresh.notes = DECLINED, [], []
    fresh.version += 1
    fresh.save()
    return fresh
