"""Posting, correcting and withdrawing rounds; attesting them. One public function is one transaction."""

import hashlib
import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property
from uuid import UUID
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db import transaction
from django.db.models import F, Max
from django.utils import timezone

from league.exchange.round_row import HoleScore as FileScore
from league.models import CardEvent, HoleScore, HolesInPlay, Membership, Player, Round, RoundImport, RoundState, Tee
from league.rules import record, scorecard
from league.rules.errors import RuleBroken, refuse_all
from league.services import handicaps, outlooks
from league.services.audit import note_action
from league.services.errors import Refused, Stale

PLAYING_CONDITIONS = range(-1, 4)
MOVED_ON = "Another round of that day was played before it."


@dataclass(frozen=True, kw_only=True)
class HoleFacts:
    """One hole as somebody told it; the names are those of the columns of `HoleScore`."""

    number: int
    strokes: int | None = None
    is_picked_up: bool = False
    putts: int | None = None
    penalties: int | None = None
    first_putt_is_long: bool | None = None
    strokes_from_60: int | None = None
    had_recovery: bool | None = None


def hole_facts(number: int, said: HoleScore | FileScore) -> HoleFacts:
    """What a stored card, or a row of a file, says of one hole."""
    return HoleFacts(
        number=number,
        strokes=said.strokes,
        is_picked_up=said.is_picked_up,
        putts=said.putts,
        penalties=said.penalties,
        first_putt_is_long=said.first_putt_is_long,
        strokes_from_60=said.strokes_from_60,
        had_recovery=said.had_recovery,
    )


@dataclass(frozen=True, kw_only=True)
class RoundFacts:
    """What somebody says of a round. `holes` for a card hole by hole, else the totals."""

    tee: Tee
    played_on: date
    holes_in_play: str = HolesInPlay.EIGHTEEN
    order_in_day: int | None = None
    holes: tuple[HoleFacts, ...] = ()
    gross: int | None = None
    adjusted_gross: int | None = None
    playing_conditions: int = 0
    playing_conditions_from: str = ""
    not_played_reason: str = ""
    marker: Player | None = None
    marker_name: str = ""
    note: str = ""
    ref: str = ""

    @cached_property
    def rated(self) -> scorecard.Tee:
        """The rated holes in play; RuleBroken where the tee has no such holes."""
        return self.tee.in_play(self.holes_in_play)

    @cached_property
    def card(self) -> scorecard.Card:
        if self.holes:
            return scorecard.Card(
                tuple(scorecard.HoleScore(hole.number, hole.strokes, hole.is_picked_up) for hole in self.holes)
            )
        n_holes = 9 if self.holes_in_play in (HolesInPlay.FRONT, HolesInPlay.BACK, HolesInPlay.NINE) else 18
        return scorecard.Card.total(self.gross, self.adjusted_gross, n_holes)


def today_at(tee: Tee | None, player: Player) -> date:
    """The calendar day at the course, if there is one; else in the player's group; else where the service runs."""
    return timezone.now().astimezone(zone_of(tee, player)).date()


def today_by_course(player: Player) -> Callable[[Tee], date]:
    """`today_at` for many rounds of one player, looked up once for each course."""
    known: dict[UUID, date] = {}

    def today(tee: Tee) -> date:
        if tee.course_id not in known:
            known[tee.course_id] = today_at(tee, player)
        return known[tee.course_id]

    return today


def zone_of(tee: Tee | None, player: Player) -> ZoneInfo:
    if tee is not None and tee.course.time_zone:
        return ZoneInfo(tee.course.time_zone)
    if tee is not None and tee.course.group is not None:
        return ZoneInfo(tee.course.group.time_zone)
    membership = (
        Membership.objects.filter(player=player, left_at=None).select_related("group").order_by("joined_at").first()
    )
    return ZoneInfo(membership.group.time_zone if membership else settings.TIME_ZONE)


def facts_problems(player: Player, facts: RoundFacts, today: date) -> list[RuleBroken]:
    """Everything that keeps a round from being stored, in the order of the form; empty when it may be."""
    problems = day_problems(facts.tee, facts.played_on, today)
    try:
        rated = facts.rated
    except RuleBroken as broken:
        return [*problems, *broken.problems]
    problems += scorecard.card_problems(facts.card, rated)
    for hole in facts.holes:
        problems += hole_problems(hole)
    problems += _circumstance_problems(player, facts, rated)
    return problems


def day_problems(tee: Tee, played_on: date, today: date) -> list[RuleBroken]:
    problems = []
    if played_on > today:
        problems.append(RuleBroken("played_in_future", "That day has not come yet at the course.", "played_on"))
    if not tee.is_valid_on(played_on):
        problems.append(
            RuleBroken(
                "tee_not_valid",
                f"This tee’s ratings do not cover that day ({_validity(tee)}). Choose the version that does.",
                "tee",
            )
        )
    return problems


def _validity(tee: Tee) -> str:
    first = tee.valid_from.isoformat() if tee.valid_from else "the beginning"
    last = tee.valid_until.isoformat() if tee.valid_until else "now"
    return f"from {first} until {last}"


def hole_problems(hole: HoleFacts) -> list[RuleBroken]:
    """Form checks of ours, each at `holes.<number>.<what>`: the rules name no upper bound for a hole."""
    most, problems, where = settings.LEAGUE_MOST_STROKES_A_HOLE, [], f"holes.{hole.number}"
    strokes = hole.strokes
    if strokes is not None and strokes > most:
        text = f"Hole {hole.number}: enter 1 to {most}, or mark it as not played."
        problems.append(RuleBroken("strokes_range", text, f"{where}.strokes"))
    if hole.putts is not None and strokes is not None and hole.putts > strokes > 0:
        text = f"Hole {hole.number}: more putts than strokes."
        problems.append(RuleBroken("putts_range", text, f"{where}.putts"))
    if hole.penalties is not None and strokes is not None and hole.penalties >= strokes > 0:
        text = f"Hole {hole.number}: penalty strokes are part of the strokes, so there are fewer of them."
        problems.append(RuleBroken("penalties_range", text, f"{where}.penalties"))
    return problems + _finer_problems(hole, where)


def _finer_problems(hole: HoleFacts, where: str) -> list[RuleBroken]:
    problems = []
    near = hole.strokes_from_60
    if near is not None and hole.strokes is not None and near > hole.strokes > 0:
        text = f"Hole {hole.number}: more strokes from inside 60 yards than strokes."
        problems.append(RuleBroken("strokes_from_60_range", text, f"{where}.strokes_from_60"))
    elif near is not None and hole.putts is not None and near < hole.putts:
        text = f"Hole {hole.number}: the strokes from inside 60 yards include the putts, so there are no fewer of them."
        problems.append(RuleBroken("strokes_from_60_range", text, f"{where}.strokes_from_60"))
    if hole.first_putt_is_long and hole.putts == 0:
        text = f"Hole {hole.number}: there was no putt, so no first putt."
        problems.append(RuleBroken("first_putt_without_putts", text, f"{where}.first_putt_beyond_20ft"))
    return problems


def _circumstance_problems(player: Player, facts: RoundFacts, rated: scorecard.Tee) -> list[RuleBroken]:
    problems = []
    if facts.playing_conditions not in PLAYING_CONDITIONS:
        text = "A playing conditions value is -1, 0, 1, 2 or 3."
        problems.append(RuleBroken("playing_conditions_range", text, "playing_conditions"))
    if facts.playing_conditions and not facts.playing_conditions_from.strip():
        text = "Say where the playing conditions value was published."
        problems.append(RuleBroken("playing_conditions_origin", text, "playing_conditions_from"))
    if facts.holes and len(facts.holes) < rated.n_holes and rated.n_holes == 18 and not facts.not_played_reason:
        text = (
            "Say why holes were not played: light, weather, injury, illness, match decided or hole closed (Rule 3.2)."
        )
        problems.append(RuleBroken("not_played_reason", text, "not_played_reason"))
    if facts.marker is not None and facts.marker.pk == player.pk:
        problems.append(RuleBroken("marker_self", "Somebody else marks your card.", "marker"))
    return problems


def fingerprint(facts: RoundFacts) -> str:
    """What makes two cards the same round: day, set of tees, holes in play and every score."""
    scores = (
        [[hole.number, hole.strokes, hole.is_picked_up] for hole in sorted(facts.holes, key=lambda hole: hole.number)]
        if facts.holes
        else [facts.gross, facts.gross if facts.adjusted_gross is None else facts.adjusted_gross]
    )
    told = [facts.played_on.isoformat(), str(facts.tee.set_id), str(facts.holes_in_play), scores]
    return hashlib.sha256(json.dumps(told).encode()).hexdigest()


def unusual_notes(player: Player, facts: RoundFacts, besides: Round | None = None) -> list[dict[str, str]]:
    """Lawful but worth a second look; never a reason to refuse."""
    others = _rounds_on(player, facts.played_on)
    return _notes(facts, [other for other in others if besides is None or other.pk != besides.pk])


def _rounds_on(player: Player, day: date) -> list[Round]:
    rows = Round.objects.filter(player=player, played_on=day)
    return list(rows.only("fingerprint", "order_in_day", "state"))


def _notes(facts: RoundFacts, others: Sequence[Round]) -> list[dict[str, str]]:
    same_day = [other for other in others if other.state == RoundState.STANDING]
    notes = []
    if any(other.fingerprint == fingerprint(facts) for other in same_day):
        notes.append({"code": "look_alike", "message": "A round with the same day, tee and scores is stored already."})
    if len(same_day) >= 2:
        notes.append({"code": "many_in_a_day", "message": f"This is round {len(same_day) + 1} on that day."})
    gross = facts.gross if not facts.holes else sum(hole.strokes or 0 for hole in facts.holes)
    if gross is not None and facts.card.n_played == 18 and gross < 60:
        notes.append({"code": "low_gross", "message": f"{gross} strokes over eighteen holes is rare. Is it right?"})
    return notes


def _on_held_tee(facts: RoundFacts) -> RoundFacts:
    """The facts with the tee as it stands now; nobody edits its numbers until the round on it is stored."""
    rows = Tee.objects.select_for_update(of=("self",), no_key=True)
    held = rows.select_related("course__group").prefetch_related("holes").filter(pk=facts.tee.pk).first()
    if held is None:
        raise Refused("tee_gone", "This tee was deleted meanwhile. Choose another.")
    return replace(facts, tee=held)


@transaction.atomic
def post_round(
    *,
    player: Player,
    facts: RoundFacts,
    posted_by: Player | None,
    from_import: RoundImport | None = None,
    was_open: bool = False,
) -> Round:
    """Store a round, its event and its revision. RuleBroken lists every problem; nothing is stored then.

    `was_open`: it comes from a card, and cards that are open may be sent in while a group rests.
    """
    player = handicaps.lock_player(player)
    if not was_open:
        refuse_resting(player)
    facts = _on_held_tee(facts)
    today = today_at(facts.tee, player)
    refuse_all(facts_problems(player, facts, today))
    _make_room(player, facts, today, posted_by)
    played = _new_round(player, facts, posted_by, from_import)
    event = record.Entered(handicaps.entered_on_for(player, facts.played_on, today), _posted(played, facts))
    handicaps.record_events(player=player, recorded=[handicaps.Recorded(event, played)], recorded_by=posted_by)
    played.save()
    _store_holes(played, facts)
    return played


@transaction.atomic
def post_rounds(
    *, player: Player, many: Sequence[RoundFacts], posted_by: Player | None, from_import: RoundImport | None = None
) -> list[Round]:
    """Store past rounds together, in order of play: all of them or, on any problem, none."""
    player = handicaps.lock_player(player)
    refuse_resting(player)
    ordered = sorted(many, key=lambda facts: (facts.played_on, facts.order_in_day or 0))
    stored, recorded = [], []
    places, today_on = _places_taken(player), today_by_course(player)
    for facts in ordered:
        today = today_on(facts.tee)
        refuse_all(facts_problems(player, facts, today))
        played = _new_round(player, facts, posted_by, from_import, places)
        event = record.Entered(handicaps.entered_on_for(player, facts.played_on, today), _posted(played, facts))
        stored.append(played)
        recorded.append(handicaps.Recorded(event, played))
    if recorded:
        handicaps.record_events(player=player, recorded=recorded, recorded_by=posted_by)
    Round.objects.bulk_create(stored, batch_size=100)
    holes = [row for played, facts in zip(stored, ordered, strict=True) for row in _hole_rows(played, facts)]
    HoleScore.objects.bulk_create(holes, batch_size=100)
    return stored


def _make_room(
    player: Player, facts: RoundFacts, today: date, moved_by: Player | None, besides: Round | None = None
) -> None:
    """A place of the day that is named and taken is given up: who stood there, or later on that day, moves on by one.

    Their scores stay as they are, and so do attestations; the ledger says that their place was corrected.
    """
    if facts.order_in_day is None:
        return
    standing = Round.objects.filter(player=player, played_on=facts.played_on, state=RoundState.STANDING)
    later = standing.filter(order_in_day__gte=facts.order_in_day).order_by("-order_in_day", "-entered_at")
    moving = [played for played in later if besides is None or played.pk != besides.pk]
    if all(played.order_in_day != facts.order_in_day for played in moving):
        return
    recorded = []
    for played in moving:
        played.order_in_day += 1
        played.version += 1
        posted = replace(_posted_last(played), order_in_day=played.order_in_day)
        recorded.append(handicaps.Recorded(record.Corrected(today, posted), played, MOVED_ON))
    handicaps.record_events(player=player, recorded=recorded, recorded_by=moved_by)
    for played in moving:
        played.save()


def _posted_last(played: Round) -> record.Posted:
    """The round as the ledger has it."""
    event = CardEvent.objects.filter(round=played, kind__in=["entered", "corrected"]).latest("number")
    return record.event_from_plain(event.facts).posted  # type: ignore[union-attr]


def _places_taken(player: Player) -> dict[date, int]:
    taken = Round.objects.filter(player=player).values("played_on").annotate(most=Max("order_in_day"))
    return {row["played_on"]: row["most"] for row in taken}


def _new_round(
    player: Player,
    facts: RoundFacts,
    posted_by: Player | None,
    from_import: RoundImport | None,
    places: dict[date, int] | None = None,
) -> Round:
    others = _rounds_on(player, facts.played_on) if places is None or from_import is None else []
    if places is None:
        places = {facts.played_on: max((other.order_in_day for other in others), default=0)}
    place = facts.order_in_day or places.get(facts.played_on, 0) + 1
    places[facts.played_on] = max(place, places.get(facts.played_on, 0))
    played = Round(player=player, posted_by=posted_by, from_import=from_import, entered_at=timezone.now())
    if from_import is None:
        played.notes = _notes(facts, others)
    _copy_facts(played, facts, place)
    return played


def _copy_facts(played: Round, facts: RoundFacts, place: int) -> None:
    played.tee = facts.tee
    played.holes_in_play = facts.holes_in_play
    played.n_holes = facts.card.n_played
    played.is_total = not facts.holes
    played.played_on = facts.played_on
    played.order_in_day = place
    played.playing_conditions = facts.playing_conditions
    played.playing_conditions_from = facts.playing_conditions_from
    played.not_played_reason = facts.not_played_reason
    played.marker = facts.marker
    played.marker_name = facts.marker_name
    played.note = facts.note
    played.ref = facts.ref
    played.fingerprint = fingerprint(facts)


def _posted(played: Round, facts: RoundFacts) -> record.Posted:
    return record.Posted(
        key=str(played.pk),
        played_on=facts.played_on,
        order_in_day=played.order_in_day,
        tee=facts.rated,
        card=facts.card,
        playing_conditions=facts.playing_conditions,
    )


def _store_holes(played: Round, facts: RoundFacts) -> None:
    HoleScore.objects.bulk_create(_hole_rows(played, facts))


def _hole_rows(played: Round, facts: RoundFacts) -> list[HoleScore]:
    return [HoleScore(round=played, **vars(hole)) for hole in facts.holes]


def refuse_resting(player: Player) -> None:
    """A player all of whose groups rest cannot add anything new; one without any group still can."""
    resting = list(Membership.objects.filter(player=player, left_at=None).values_list("group__rests_since", flat=True))
    if resting and all(resting):
        raise Refused("group_rests", "Your group rests: it can be read and exported, but nothing new is added.")


def _lock_standing(played: Round) -> tuple[Player, Round]:
    player = handicaps.lock_player(played.player)
    # PostgreSQL cannot lock the group: a course may have none.
    rows = Round.objects.select_for_update(of=("self",)).select_related("tee__course__group")
    fresh = rows.get(pk=played.pk)
    if fresh.state == RoundState.WITHDRAWN:
        raise Refused("round_withdrawn", "This round was withdrawn, so there is nothing to change.")
    return player, fresh


@transaction.atomic
def correct_round(
    *, played: Round, facts: RoundFacts, version: int, corrected_by: Player | None, reason: str = ""
) -> Round:
    """Replace the facts of a round. An event says so; an attestation of the old version ends."""
    player, fresh = _lock_standing(played)
    _refuse_stale(fresh, version)
    facts = _on_held_tee(facts)
    today = today_at(facts.tee, player)
    refuse_all(facts_problems(player, facts, today))
    changes_index = facts_changed(fresh, facts)
    if facts.order_in_day != fresh.order_in_day:
        _make_room(player, facts, today, corrected_by, besides=fresh)
    fresh.notes = unusual_notes(player, facts, besides=fresh)
    _copy_facts(fresh, facts, facts.order_in_day or fresh.order_in_day)
    fresh.version += 1
    _end_attestation(fresh, corrected_by)
    if changes_index:
        event = record.Corrected(today, _posted(fresh, facts))
        recorded = handicaps.Recorded(event, fresh, reason)
        handicaps.record_events(player=player, recorded=[recorded], recorded_by=corrected_by)
    else:
        outlooks.make_due(player)
    fresh.save()
    fresh.hole_scores.all().delete()
    _store_holes(fresh, facts)
    note_action(action="round_corrected", actor=corrected_by, about=player, reason=reason)
    return fresh


def facts_changed(stored: Round, facts: RoundFacts) -> bool:
    """Whether anything that the index rests on differs; putts, marker and notes alone do not touch the ledger."""
    return (
        stored.fingerprint != fingerprint(facts)
        or stored.tee_id != facts.tee.pk
        or stored.playing_conditions != facts.playing_conditions
        or (facts.order_in_day is not None and stored.order_in_day != facts.order_in_day)
    )


def _refuse_stale(fresh: Round, version: int) -> None:
    if fresh.version != version:
        raise Stale(fresh, "This card was changed meanwhile. Both versions are shown: choose again.")


def _end_attestation(fresh: Round, corrected_by: Player | None) -> None:
    if fresh.attested_at is None:
        return
    note_action(
        action="attestation_ended",
        actor=corrected_by,
        about=fresh.attested_by,
        reason="The card was corrected.",
        after={"round": str(fresh.pk)},
    )
    fresh.attested_by, fresh.attested_at, fresh.attested_on_paper = None, None, False


@transaction.atomic
def withdraw_round(*, played: Round, version: int, withdrawn_by: Player | None, reason: str) -> Round:
    """Take a round out of the record. The card stays readable for its owner, marked as withdrawn."""
    player, fresh = _lock_standing(played)
    _refuse_stale(fresh, version)
    today = today_at(fresh.tee, player)
    fresh.state = RoundState.WITHDRAWN
    fresh.version += 1
    fresh.save()
    recorded = handicaps.Recorded(record.Withdrawn(today, str(fresh.pk)), fresh, reason)
    handicaps.record_events(player=player, recorded=[recorded], recorded_by=withdrawn_by)
    note_action(action="round_withdrawn", actor=withdrawn_by, about=player, reason=reason)
    return fresh


@transaction.atomic
def withdraw_rounds(*, many: Sequence[Round], withdrawn_by: Player | None, reason: str) -> None:
    """Withdraw several rounds together; each leaves its own event and revision."""
    by_player: dict[Player, list[Round]] = {}
    for played in many:
        by_player.setdefault(played.player, []).append(played)
    for player in sorted(by_player, key=lambda player: player.pk):
        locked = handicaps.lock_player(player)
        today_on, recorded = today_by_course(locked), []
        for played in by_player[player]:
            event = record.Withdrawn(today_on(played.tee), str(played.pk))
            recorded.append(handicaps.Recorded(event, played, reason))
        standing = Round.objects.filter(pk__in=[played.pk for played in by_player[player]])
        standing.update(state=RoundState.WITHDRAWN, version=F("version") + 1)
        handicaps.record_events(player=locked, recorded=recorded, recorded_by=withdrawn_by)


@transaction.atomic
def attest_round(*, played: Round, version: int, attested_by: Player, on_paper: bool = False) -> Round:
    """A group mate confirms this version of the card (Rule 4.4)."""
    player, fresh = _lock_standing(played)
    _refuse_stale(fresh, version)
    if fresh.attested_at is not None:
        raise Refused("attested_already", "This card has been attested already.")
    if attested_by.pk == player.pk:
        raise Refused("attested_self", "Somebody else attests your card.")
    fresh.attested_by, fresh.attested_at, fresh.attested_on_paper = attested_by, timezone.now(), on_paper
    fresh.save(update_fields=["attested_by", "attested_at", "attested_on_paper"])
    note_action(action="round_attested", actor=attested_by, about=player)
    return fresh
