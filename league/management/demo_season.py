"""The demo season: who plays where and when, and what they score. Drawn from a seed; the `demo` command stores it.

Everything hangs on the number of the week, nothing on the calendar, so the golf and the ledgers are the same whenever
it is loaded; the days alone move. A change to one person or one day leaves all other cards as they were.
"""

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from pathlib import Path
from random import Random
from typing import Any

from league.estimates import hole_model
from league.estimates.hole_model import DrawnHole
from league.models import HolesInPlay, Player, Tee
from league.services.rounds import HoleFacts, RoundFacts

WEDNESDAY_BEFORE = timedelta(days=3)
PICKED_UP_FROM = 5
"""Strokes over par at which those who pick up do so."""
CHIP_AGAIN, FAR_FROM_AFAR, FAR_AFTER_CHIP, RECOVERS = 0.2, 0.5, 0.15, 0.35
NOTED, ATTESTED = 0.1, 0.4
"""Shares of cards with a note, and of marked cards that the marker attests."""


@dataclass(frozen=True)
class Happening:
    """What the script wants of somebody's Saturday: a good day, a card cut short, one entered late or changed later."""

    week: int
    kind: str
    better_by: float = 0.0
    holes: int = 18
    reason: str = ""
    hole: int = 0
    by: int = 0


@dataclass(frozen=True)
class Play:
    """A round that somebody is going to play."""

    week: int
    day: date
    course: str
    holes_in_play: str = HolesInPlay.EIGHTEEN
    is_total: bool = False
    happening: Happening | None = None


@dataclass(frozen=True)
class Person:
    """Whoever plays. `plays`, `midweek` and `wednesdays` are chances a week; `nines`, `twice`, `totals` shares."""

    key: str
    name: str
    tees: Mapping[str, str]
    path: Mapping[str, Any]
    rated_for: str = "men"
    groups: Sequence[str] = ("skerrin",)
    role: str = "player"
    account: bool = True
    keeper: str = ""
    hides_lines: bool = False
    picks_up: bool = False
    plays: float = 0.0
    midweek: float = 0.0
    wednesdays: float = 0.0
    nines: float = 0.0
    twice: float = 0.0
    totals: float = 0.0
    breaks: Sequence[Sequence[int]] = ()
    events: Sequence[Happening] = field(default=())
    notes_more: bool = False
    barriers: Sequence[int] = ()
    hidden_barriers: Sequence[int] = ()


class Season:
    def __init__(self, file: Path, today: date) -> None:
        plain = json.loads(file.read_text(encoding="utf-8"))
        self.seed, self.n_weeks, self.time_zone = plain["seed"], plain["weeks"], plain["time_zone"]
        self.groups, self.re_ratings, self.notes = plain["groups"], plain["re_ratings"], plain["notes"]
        self.away_every, self.hole_corrections = plain["away_every"], plain["hole_corrections"]
        self.conditions = {(one["week"], one["course"]): one["value"] for one in plain["conditions"]}
        self.people = [_person(one) for one in plain["people"]]
        self.last_saturday = today - timedelta(days=(today.weekday() - 5) % 7 or 7)

    def saturday(self, week: int) -> date:
        return self.last_saturday - timedelta(weeks=self.n_weeks - 1 - week)

    def rng(self, *names: object) -> Random:
        return Random(" ".join(map(str, (self.seed, *names))))

    def levels(self, person: Person) -> list[float]:
        given = dict(person.path)
        path = getattr(hole_model, given.pop("kind"))
        if path is hole_model.random_walk:
            given["rng"] = self.rng(person.key, "path")
        levels: list[float] = path(given.pop("level"), self.n_weeks, **given)
        return levels

    def plays(self, person: Person) -> Iterator[Play]:
        """The person's rounds in the order of days."""
        happenings = {happening.week: happening for happening in person.events}
        for week in range(self.n_weeks):
            rng = self.rng(person.key, week)
            luck = {name: rng.random() for name in ("wednesdays", "midweek", "plays", "nines", "back", "totals")}
            rests = any(first <= week < end for first, end in person.breaks)
            wednesday = self.saturday(week) - WEDNESDAY_BEFORE
            if not rests and luck["wednesdays"] < person.wednesdays:
                how = HolesInPlay.TWICE if luck["nines"] < person.twice else HolesInPlay.NINE
                yield Play(week, wednesday, "Tollen Water", how)
            if not rests and luck["midweek"] < person.midweek:
                yield Play(week, wednesday, "Skerrin Head")
            if week in happenings or (not rests and luck["plays"] < person.plays):
                yield self._saturday_play(person, week, luck, happenings.get(week))

    def _saturday_play(self, person: Person, week: int, luck: Mapping[str, float], happening: Happening | None) -> Play:
        course = "Low Farrow Moor" if week % self.away_every == self.away_every - 1 else "Skerrin Head"
        is_nine = happening is None and luck["nines"] < person.nines
        nine = HolesInPlay.BACK if luck["back"] < 1 / 3 else HolesInPlay.FRONT
        is_total = happening is None and not is_nine and luck["totals"] < person.totals
        how = nine if is_nine else HolesInPlay.EIGHTEEN
        return Play(week, self.saturday(week), course, how, is_total, happening)

    def facts(self, person: Person, play: Play, tee: Tee, marker: Player | None) -> RoundFacts:
        """The card of a round, as somebody would enter it."""
        rng = self.rng(person.key, play.day - self.last_saturday, "card")
        conditions = self.conditions.get((play.week, play.course), 0)
        drawn = self._drawn(rng, person, play, tee, conditions)
        n_holes = play.happening.holes if play.happening else 18
        holes = tuple(_hole_facts(hole, person.picks_up) for hole in drawn[:n_holes])
        if person.notes_more:
            more = self.rng(person.key, play.day - self.last_saturday, "more")
            holes = tuple(_with_more_noted(more, hole, drawn) for hole, drawn in zip(holes, drawn, strict=False))
        return RoundFacts(
            tee=tee,
            played_on=play.day,
            holes_in_play=play.holes_in_play,
            holes=() if play.is_total else holes,
            gross=sum(hole.strokes for hole in drawn) if play.is_total else None,
            playing_conditions=conditions,
            playing_conditions_from="The notice board at Skerrin Head" if conditions else "",
            not_played_reason=play.happening.reason if play.happening and n_holes < 18 else "",
            marker=marker,
            note=rng.choice(self.notes) if rng.random() < NOTED else "",
        )

    def _drawn(self, rng: Random, person: Person, play: Play, tee: Tee, conditions: int) -> tuple[DrawnHole, ...]:
        rated = tee.in_play(play.holes_in_play)
        level, share = self.levels(person)[play.week], rated.n_holes / 18
        day = hole_model.draw_round_effect(rng, level) + conditions
        fit = hole_model.draw_tee_fit(self.rng(person.key, play.course, "fit"))
        better = play.happening.better_by if play.happening else 0.0
        usual = hole_model.expected_over(level * share, rated)
        return hole_model.draw_card(rng, rated.holes, usual + (day + fit - better) * share)

    def is_attested(self, person: Person, play: Play) -> bool:
        return self.rng(person.key, play.day - self.last_saturday, "attested").random() < ATTESTED


def _person(plain: dict[str, Any]) -> Person:
    return Person(**{**plain, "events": [Happening(**one) for one in plain.get("events", ())]})


def _with_more_noted(rng: Random, hole: HoleFacts, drawn: DrawnHole) -> HoleFacts:
    """What somebody adds who likes to know: invented shares, in keeping with the card."""
    to_green = drawn.strokes - drawn.putts - drawn.penalties
    on_in_time = to_green <= drawn.par - 2
    chips = 0 if on_in_time else min(to_green, 1 + (rng.random() < CHIP_AGAIN))
    return replace(
        hole,
        first_putt_is_long=drawn.putts > 0 and rng.random() < (FAR_FROM_AFAR if on_in_time else FAR_AFTER_CHIP),
        strokes_from_60=drawn.putts + chips,
        had_recovery=to_green > drawn.par - 1 and rng.random() < RECOVERS,
    )


def _hole_facts(hole: DrawnHole, picks_up: bool) -> HoleFacts:
    if picks_up and hole.over >= PICKED_UP_FROM:
        return HoleFacts(number=hole.number, is_picked_up=True)
    return HoleFacts(number=hole.number, strokes=hole.strokes, putts=hole.putts, penalties=hole.penalties)
