"""What the journal reads of the league and says beside its own words; shared by pages and API. Nothing here writes."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TypeVar
from uuid import UUID

from django.db.models import Exists, F, OuterRef, Q, QuerySet
from django.urls import reverse
from django.utils import timezone

from journal.expectation import Range, after_words, from_here_words
from journal.models import Intention, LookBack, Reset, State
from journal.sealing import SealedText
from journal.services.before import is_about, is_meant_for, today_for
from league import charts
from league.estimates import evidence
from league.estimates.evidence import ResetUse
from league.estimates.outlook import FEWEST_ROUNDS
from league.models import CardLine, CardMark, HoleScore, Player, Round, RoundState, Tee
from league.models.cards import CardState, MarkState
from league.reports.evidence import own_rounds
from league.reports.home import HomeLine
from league.reports.progress import NoOutlook, open_barriers, outlook_of

LATELY_DAYS, ON_HOME_DAYS = 14, 4
"""How long after a round the journal offers a look-back of it, and a draft is told on the player's home; and how long
that offers one of the last round."""


@dataclass(frozen=True)
class Expected:
    """The player's own range on a tee, or why there is none; `usual` in gross strokes."""

    range: Range | None
    usual: float | None
    n_rounds: int
    reason: str


def expected_on(player: Player, tee: Tee, day: date) -> Expected:
    if day < today_for(player, tee):
        return Expected(None, None, 0, "That day is past; a range is told before a round only.")
    view = outlook_of(player, tee, day)
    if isinstance(view, NoOutlook):
        has_enough = Round.objects.whole().filter(player=player).count() >= FEWEST_ROUNDS
        return Expected(None, None, view.n, "It is being worked out." if has_enough else view.reason)
    return Expected(Range(view.low, view.high, view.n), view.usual, view.n, "")


@dataclass(frozen=True)
class Fell:
    """A gross score of eighteen holes beside the range that was told before it."""

    gross: int
    low: int
    high: int

    @property
    def words(self) -> str:
        return after_words(self.gross, self.low, self.high)

    @property
    def picture(self) -> charts.Picture:
        return charts.score_in_range(self.gross, self.low, self.high, self.words)


def fell_of(meant: Intention | None, played: Round | None) -> Fell | None:
    """None unless the range was told before the score came in, for that day and those tees."""
    if meant is None or played is None or meant.low is None or meant.high is None or meant.tee is None:
        return None
    is_whole = played.state == RoundState.STANDING and played.n_holes == 18
    was_before = is_about(meant.played_on, meant.tee, played) and meant.created_at < played.entered_at
    if played.gross is None or not is_whole or not was_before:
        return None
    return Fell(played.gross, meant.low, meant.high)


@dataclass(frozen=True)
class Became:
    """An intention and what came of it, as far as that is known."""

    intention: Intention
    played: Round | None
    look_back: LookBack | None
    is_past: bool

    @property
    def gross(self) -> int | None:
        if self.played is None or self.played.state != RoundState.STANDING or self.played.n_holes != 18:
            return None
        return self.played.gross

    @property
    def fell(self) -> Fell | None:
        return fell_of(self.intention, self.played)

    @property
    def words(self) -> str:
        """Where the score fell in the range that was expected then."""
        return self.fell.words if self.fell else ""

    @property
    def told(self) -> str:
        """The same, else what is known instead."""
        if self.played is None:
            return "No round of that day is here." if self.is_past else "Still to come."
        if self.played.state != RoundState.STANDING:
            return "The round was withdrawn."
        if self.fell is not None:
            return self.fell.words
        if self.gross is None:
            return "The round has no score of eighteen holes."
        return f"It became {self.gross}; no range was told before it."

    @property
    def kept(self) -> str:
        return self.look_back.plan_kept if self.look_back is not None else ""


def what_became(intentions: Sequence[Intention]) -> list[Became]:
    """Of one player's. A round is the one tied to it, failing that one of the day that is tied to nothing."""
    if not intentions:
        return []
    player = intentions[0].player
    rounds = {one.pk: one.round for one in intentions if one.round is not None}
    rounds |= _rounds_by_day(player, {one.played_on for one in intentions if one.round is None})
    look_backs = LookBack.objects.filter(player=player, round__in=[played.pk for played in rounds.values()])
    found = {one.round_id: one for one in look_backs}
    today = today_for(player)
    return [
        Became(one, played, found.get(played.pk) if played else None, one.played_on < today)
        for one, played in ((one, rounds.get(one.pk)) for one in intentions)
    ]


def _rounds_by_day(player: Player, days: set[date]) -> dict[UUID, Round]:
    """For the intentions of those days that are tied to no round, the one a look-back would tie them to."""
    waiting = Intention.objects.filter(player=player, round=None, played_on__in=days).select_related("tee")
    tied = Intention.objects.filter(player=player, round__isnull=False).values("round")
    rounds = Round.objects.filter(player=player, played_on__in=days, state=RoundState.STANDING).exclude(pk__in=tied)
    free = list(rounds.select_related("tee__course").order_by("order_in_day", "entered_at"))
    found = {}
    for one in waiting.order_by("-created_at"):
        fitting = next((played for played in free if is_meant_for(one, played)), None)
        if fitting is not None:
            free.remove(fitting)
            found[one.pk] = fitting
    return found


def intention_of(played: Round) -> Intention | None:
    """The one tied to the round, else the latest that was meant for such a round before it came in."""
    of_day = Q(round=None, played_on=played.played_on)
    found = Intention.objects.filter(Q(round=played) | of_day, player_id=played.player_id).select_related("tee")
    ordered = found.order_by(F("round").asc(nulls_last=True), "-created_at")
    return next((one for one in ordered if one.round_id or is_meant_for(one, played)), None)


def resets_of(played: Round) -> QuerySet[Reset]:
    found = Reset.objects.filter(Q(round=played) | Q(line__round=played), player_id=played.player_id)
    return found.order_by("hole", "stored_at")


@dataclass(frozen=True)
class ResetsTold:
    """Whether the hole after a bad one differs with a reset, as pages and API say it."""

    use: ResetUse

    @property
    def is_enough(self) -> bool:
        return self.use.is_enough

    @property
    def verdict(self) -> str:
        words = self.use.words
        return f"{words[:1].upper()}{words[1:]}."

    @property
    def counted(self) -> str:
        """What is here, of what it takes."""
        use = self.use
        return (
            f"Rounds hole by hole: {use.n_rounds} of {evidence.FEWEST_ROUNDS}. Bad holes with a reset after them: "
            f"{use.n_with} of {evidence.FEWEST_EACH}; without one: {use.n_without} of {evidence.FEWEST_EACH}."
        )

    @property
    def said(self) -> str:
        """The number with its interval in one sentence; empty while there is none."""
        effect = self.use.effect
        if effect is None:
            return ""
        low, high = (charts.difference_words(end) for end in (effect.low, effect.high))
        return (
            f"On the hole after a bad one: {abs(effect.value):.2f} strokes {'more' if effect.value >= 0 else 'fewer'} "
            f"with a reset than without, {low} to {high} nineteen times in twenty."
        )

    @property
    def picture(self) -> charts.Picture | None:
        effect = self.use.effect
        return charts.difference_range(effect.value, effect.low, effect.high, self.said) if effect else None


def resets_told(player: Player) -> ResetsTold:
    """From the player's own cards hole by hole and own marks; a mark counts for the hole that it names."""
    marks = Reset.objects.filter(player=player, hole__isnull=False)
    holes: dict[UUID, set[int]] = defaultdict(set)
    for round_id, line_round_id, hole in marks.values_list("round", "line__round", "hole"):
        holes[round_id or line_round_id].add(hole or 0)
    rounds = own_rounds(player)
    bad = []
    for one in rounds:
        places = {place for place, number in enumerate(one.numbers) if number in holes[one.round_id]}
        bad += evidence.after_bad(str(player.pk), one.residuals, places)
    return ResetsTold(evidence.reset_use(len(rounds), bad, seed=len(rounds)))


@dataclass(frozen=True)
class PlayedHole:
    number: int
    par: int
    strokes: int | None
    putts: int | None
    penalties: int | None

    @property
    def over(self) -> int | None:
        return None if self.strokes is None else self.strokes - self.par

    @property
    def words(self) -> str:
        if self.strokes is None:
            return f"hole {self.number}: picked up, par {self.par}"
        extra = [
            f"{count} {noun if count == 1 else nouns}"
            for count, noun, nouns in ((self.putts, "putt", "putts"), (self.penalties, "penalty", "penalties"))
            if count
        ]
        return ", ".join([f"hole {self.number}: {self.strokes} on a par {self.par}", *extra])


def holes_of(played: Round) -> list[PlayedHole]:
    pars = {hole.number: hole.par for hole in played.tee.holes.all()}
    scores = HoleScore.objects.filter(round=played).order_by("number")
    return [
        PlayedHole(one.number, pars[(one.number - 1) % len(pars) + 1], one.strokes, one.putts, one.penalties)
        for one in scores
        if pars
    ]


def costliest(holes: Iterable[PlayedHole]) -> PlayedHole | None:
    """The hole furthest over par; picked up without a number counts as further. The earlier of two alike."""
    return max(holes, key=lambda hole: (99 if hole.over is None else hole.over, -hole.number), default=None)


def open_lines(player: Player) -> list[CardLine]:
    """On cards that are open, the one opened last first."""
    found = CardLine.objects.filter(player=player, card__state=CardState.OPEN).select_related("card__tee__course")
    return list(found.order_by("-card__opened_at"))


def from_here(line: CardLine) -> str:
    """The barrier's arithmetic from the next hole on; empty when there is no barrier, or a hole has no number."""
    if line.card.holes_in_play != "18":
        return ""
    barriers = open_barriers(line.player, line.card.tee)
    pars = {hole.number: hole.par for hole in line.card.tee.holes.all()}
    marks = CardMark.objects.filter(line=line, state=MarkState.STANDING)
    values = {mark.number: (mark.value or {}).get("strokes") for mark in marks}
    strokes = {number: value for number, value in values.items() if isinstance(value, int)}
    if not barriers or len(pars) != 18 or not strokes or len(strokes) < len(values):
        return ""
    left = [par for number, par in pars.items() if number not in strokes]
    if not left:
        return ""
    nearest = min(one.score for one in barriers)
    return from_here_words(nearest, sum(strokes.values()), sum(left), len(left))


Entry = TypeVar("Entry", LookBack, Intention)


def found_in(entries: Iterable[Entry], words: str) -> list[Entry]:
    """Those that hold every one of these words, whole or in part. Text may be sealed, so the database cannot look."""
    wanted = words.casefold().split()
    return [one for one in entries if all(word in _text_of(one) for word in wanted)]


def _text_of(entry: LookBack | Intention) -> str:
    names = [field.name for field in entry._meta.fields if isinstance(field, SealedText)]
    return "\n".join(getattr(entry, name) for name in names).casefold()


def rounds_without(player: Player) -> list[Round]:
    """Rounds of the last days that nobody has looked back on, newest first. Offered on the journal's page, no mail."""
    looked_at = LookBack.objects.filter(player=player, round__isnull=False).values("round")
    since = date.fromordinal(today_for(player).toordinal() - LATELY_DAYS)
    found = Round.objects.filter(player=player, state=RoundState.STANDING, played_on__gte=since)
    return list(found.exclude(pk__in=looked_at).select_related("tee__course").order_by("-played_on", "-order_in_day"))


def home_lines(player: Player) -> list[HomeLine]:
    """At most one, by one query: a draft of late, else the last round while it is fresh. Skipped, it is gone."""
    now = timezone.now()
    written = LookBack.objects.filter(player=player, round=OuterRef("pk"))
    drafts = written.filter(state=State.DRAFT, created_at__gt=now - timedelta(days=LATELY_DAYS))
    rounds = Round.objects.filter(player=player, state=RoundState.STANDING)
    told = rounds.annotate(is_draft=Exists(drafts), is_written=Exists(written))
    fresh = Q(is_written=False, played_on__gte=now.date() - timedelta(days=ON_HOME_DAYS))
    found = told.filter(Q(is_draft=True) | fresh).order_by("-is_draft", "-played_on", "-order_in_day").first()
    if found is None:
        return []
    day = charts.day_words(found.played_on)
    words = f"An unfinished look-back of {day}" if found.is_draft else f"Look back on {day}, two minutes"
    return [HomeLine(words, reverse("look_back", args=[found.pk]))]


def coming(player: Player) -> Intention | None:
    """What is meant for the next round to come, today's among them while none has come in."""
    found = Intention.objects.filter(player=player, round=None, played_on__gte=today_for(player))
    became = what_became(list(found.order_by("played_on", "-created_at")))
    return next((one.intention for one in became if one.played is None), None)


def meant_today(player: Player, line: CardLine | None) -> Intention | None:
    """What was meant for the round that is being played: of the card's day and tees, without a card of today."""
    tee = line.card.tee if line is not None else None
    day = line.card.played_on if line is not None else today_for(player)
    waiting = Intention.objects.filter(player=player, round=None, played_on=day).select_related("tee")
    fitting = (
        one for one in waiting.order_by("-created_at") if tee is None or one.tee is None or one.tee.set_id == tee.set_id
    )
    return next(fitting, None)


def open_draft(player: Player) -> LookBack | None:
    found = LookBack.objects.filter(player=player, state=State.DRAFT).select_related("round__tee__course")
    return found.order_by("-created_at").first()
