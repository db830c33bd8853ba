"""Cards while they are played, as one reader may see them."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from django.db.models import Prefetch, Q, QuerySet
from django.utils import timezone

from league.models import Card, CardLine, CardMark, CardState, Group, LineState, MarkState, Player, Round, RoundState
from league.models.marks import SEEN_BY_ALL, Value, taken_back_id
from league.reports.courses import today_at
from league.reports.members import shown_names
from league.rules.scorecard import FEWEST_HOLES_OF_EIGHTEEN

TOLD_FOR = timedelta(days=14)


@dataclass(frozen=True, kw_only=True)
class MarkTold:
    """`mark` is the id that the phone gave it. `claimed_at` is what that phone's clock said."""

    mark: UUID
    value: dict[str, Any] | None
    written_by: str
    claimed_at: datetime | None
    written_at: datetime

    @property
    def words(self) -> str:
        return value_words(self.value)


def value_words(value: Value) -> str:
    """What a mark says of a hole, for a sentence: strokes first, then whatever else is known."""
    if not value:
        return "nothing"
    strokes, up = value.get("strokes"), value.get("picked_up")
    said = [str(strokes) if strokes is not None else "" if up else "no strokes", "picked up" if up else ""]
    for name, one, many in (
        ("putts", "putt", "putts"),
        ("penalties", "penalty stroke", "penalty strokes"),
        ("strokes_from_60", "stroke from inside 60 yards", "strokes from inside 60 yards"),
    ):
        count = value.get(name)
        said.append("" if count is None else f"{count} {one if count == 1 else many}")
    if value.get("first_putt_beyond_20ft") is not None:
        said.append(f"first putt from {'beyond' if value['first_putt_beyond_20ft'] else 'inside'} 20 feet")
    if value.get("recovery") is not None:
        said.append("a shot back into play" if value["recovery"] else "no shot back into play")
    return ", ".join(filter(None, said))


@dataclass(frozen=True, kw_only=True)
class CardHole:
    """`contested` has two or more marks, and then none stands."""

    number: int
    par: int
    stroke_index: int
    length: int | None
    standing: MarkTold | None
    contested: tuple[MarkTold, ...]

    @property
    def value(self) -> dict[str, Any] | None:
        return self.standing.value if self.standing else None


@dataclass(frozen=True, kw_only=True)
class LineTold:
    row: CardLine
    name: str
    is_own: bool
    in_full: bool
    holes: tuple[CardHole, ...]

    @property
    def strokes(self) -> int:
        """Those that are written so far; a hole picked up without a number adds none."""
        return sum((hole.value or {}).get("strokes") or 0 for hole in self.holes)

    @property
    def n_written(self) -> int:
        return sum(hole.value is not None for hole in self.holes)

    @property
    def standing_words(self) -> str:
        """How far the line is, without its strokes."""
        if not self.is_open:
            return str(self.row.get_state_display())
        two = f", two values on {', '.join(map(str, self.contested))}" if self.contested else ""
        return f"{self.n_written} of {len(self.holes)} holes{two}"

    @property
    def contested(self) -> list[int]:
        return [hole.number for hole in self.holes if hole.contested]

    @property
    def is_open(self) -> bool:
        return self.row.state == LineState.OPEN

    @property
    def is_posted(self) -> bool:
        """Whether the line becomes a round by the reader's hand, when the reader sends it in."""
        return self.is_own or self.row.player.account_id is None

    @property
    def fewest_holes(self) -> int:
        return FEWEST_HOLES_OF_EIGHTEEN if len(self.holes) == 18 else len(self.holes)

    @property
    def outcome(self) -> str:
        """What becomes of an open line that is sent in."""
        if not self.n_written:
            return "nothing is written, so the line closes without a round"
        if self.is_posted and self.n_written < self.fewest_holes:
            return f"too few holes for a round, which needs {self.fewest_holes}"
        return "becomes a round" if self.is_posted else "waits for their yes"

    @property
    def stays(self) -> str:
        return {
            LineState.OPEN: "stays open until its player or whoever opened the card sends it in",
            LineState.WAITS: "was sent in and waits for their yes",
            LineState.POSTED: "was sent in and is a round",
        }.get(LineState(self.row.state), "was closed without a round")


@dataclass(frozen=True, kw_only=True)
class CardTold:
    """A card for one reader. `notes` are (code, words): lawful, and to be looked at before it is sent in."""

    card: Card
    lines: tuple[LineTold, ...]
    is_scorer: bool
    notes: tuple[tuple[str, str], ...]

    @property
    def numbers(self) -> list[int]:
        return [hole.number for hole in self.lines[0].holes] if self.lines else []

    @property
    def waiting(self) -> LineTold | None:
        """The reader's own line, when it waits for their yes."""
        return next((line for line in self.lines if line.is_own and line.row.state == LineState.WAITS), None)

    @property
    def is_open(self) -> bool:
        return bool(self.card.state == CardState.OPEN)

    @property
    def is_dropped(self) -> bool:
        return bool(self.card.state == CardState.DROPPED)

    @property
    def is_changeable(self) -> bool:
        """Whether tee, day and people may still be put right."""
        return self.is_open and all(line.is_open for line in self.lines)

    @property
    def closing(self) -> list[LineTold]:
        """The lines that close when this reader sends the card in."""
        return [line for line in self.lines if line.is_open and (self.is_scorer or line.is_own)]

    @property
    def outcomes(self) -> list[tuple[LineTold, str]]:
        """What becomes of each line when this reader sends the card in."""
        closing = {line.row.pk for line in self.closing}
        return [(line, line.outcome if line.row.pk in closing else line.stays) for line in self.lines]

    @property
    def others_who_wrote(self) -> list[str]:
        """Members whose marks count on open lines, when the reader opened the card: it is not dropped over them."""
        marks = (mark for line in self.lines if line.is_open for mark in line.row.marks.all() if mark.value)
        writers = (mark.written_by for mark in marks if mark.written_by_id != self.card.opened_by_id)
        return sorted({writer.name for writer in writers if writer is not None})

    @property
    def told_when_dropped(self) -> list[str]:
        """Whose open lines close with a card that its scorer drops; those without an account hear nothing."""
        open_ones = (line for line in self.lines if line.is_open and not line.is_own)
        return [line.name for line in open_ones if line.row.player.account_id is not None]

    @property
    def asks_tee(self) -> bool:
        return self.card.tee.version != self.card.tee_version

    @property
    def rows(self) -> list[tuple[CardHole, list[CardHole]]]:
        """Each hole with what every line says of it, for a table."""
        across = zip(*(line.holes for line in self.lines), strict=True)
        return [(holes[0], list(holes)) for holes in across]


def with_lines(cards: QuerySet[Card]) -> QuerySet[Card]:
    """What `card_told` needs, in five statements for any number of cards."""
    counted = CardMark.objects.filter(state__in=[MarkState.STANDING, MarkState.CONTESTED]).select_related("written_by")
    lines = CardLine.objects.select_related("player").prefetch_related(Prefetch("marks", counted.order_by("id")))
    return cards.select_related("tee__course__group", "opened_by", "group").prefetch_related(
        "tee__holes", Prefetch("lines", lines.order_by("place"))
    )


def open_cards(cards: QuerySet[Card]) -> QuerySet[Card]:
    return cards.filter(state=CardState.OPEN)


@dataclass(frozen=True, kw_only=True)
class LastWritten:
    """The last mark of a device that can be taken back; `before` says what stands then, empty for an empty hole."""

    name: str
    number: int
    mark: MarkTold
    before: str


def cards_of_group(group: Group) -> QuerySet[Card]:
    """Those that are being kept for it, and those on which a line waits for somebody's yes."""
    waits = CardLine.objects.filter(state=LineState.WAITS).values("card_id")
    return Card.objects.filter(Q(state=CardState.OPEN) | Q(pk__in=waits), group=group)


@dataclass(frozen=True, kw_only=True)
class CardNews:
    """What the cards that others keep ask of a player, or tell: lines for a yes, and lines that were dropped lately."""

    waiting: tuple[Card, ...]
    dropped: tuple[Card, ...]


def card_news(player: Player) -> CardNews:
    """One statement: it is asked for on the front page."""
    is_over = Q(card__state=CardState.DROPPED) | Q(state=LineState.DECLINED, answered_at=None)
    is_told = is_over & Q(card__sent_at__gte=timezone.now() - TOLD_FOR) & ~Q(card__opened_by=player)
    lines = CardLine.objects.filter(is_told | Q(state=LineState.WAITS), player=player)
    found = lines.select_related("card__tee__course", "card__opened_by").order_by("card__played_on", "card_id")
    waits = tuple(line.card for line in found if line.state == LineState.WAITS)
    return CardNews(waiting=waits, dropped=tuple(line.card for line in found if line.state != LineState.WAITS))


@dataclass(frozen=True, kw_only=True)
class PlayedBefore:
    """A player of the card who has rounds of its day in their record already, in the order of play."""

    name: str
    rounds: tuple[Round, ...]


def played_before(told: CardTold, lines: Iterable[LineTold], kept: QuerySet[Player]) -> list[PlayedBefore]:
    """Of those among `lines` whose cards the reader keeps: their lines become rounds by the reader's hand."""
    names = {line.row.player_id: line.name for line in lines}
    found = Round.objects.filter(
        player__in=kept.filter(pk__in=names), played_on=told.card.played_on, state=RoundState.STANDING
    )
    ordered = found.select_related("tee__course").order_by("order_in_day", "entered_at")
    by_player: dict[UUID, list[Round]] = {}
    for played in ordered:
        by_player.setdefault(played.player_id, []).append(played)
    return [PlayedBefore(name=names[player], rounds=tuple(rounds)) for player, rounds in by_player.items()]


def card_told(card: Card, reader: Player) -> CardTold:
    """The card with what this reader may see of each line; `card` comes from `with_lines`."""
    rows = list(card.lines.all())
    names = shown_names([row.player for row in rows])
    lines = tuple(_line_told(card, row, names[row.player_id], reader) for row in rows)
    is_scorer = card.opened_by_id == reader.pk
    return CardTold(card=card, lines=lines, is_scorer=is_scorer, notes=tuple(_notes(card, lines)))


def _line_told(card: Card, row: CardLine, name: str, reader: Player) -> LineTold:
    has_account = row.player.account_id is not None
    in_full = not has_account or reader.pk in (row.player_id, card.opened_by_id)
    told: dict[int, list[tuple[CardMark, MarkTold]]] = {}
    for mark in row.marks.all():
        told.setdefault(mark.number, []).append((mark, _mark_told(mark, in_full)))
    lengths = {hole.number: hole.length for hole in card.tee.holes.all()}
    n_printed = len(lengths)
    holes = tuple(
        CardHole(
            number=hole.number,
            par=hole.par,
            stroke_index=hole.stroke_index,
            length=lengths.get(hole.number, lengths.get(hole.number - n_printed)),
            standing=next((m for mark, m in told.get(hole.number, []) if mark.state == MarkState.STANDING), None),
            contested=tuple(m for mark, m in told.get(hole.number, []) if mark.state == MarkState.CONTESTED),
        )
        for hole in card.tee.in_play(card.holes_in_play).holes
    )
    return LineTold(row=row, name=name, is_own=row.player_id == reader.pk, in_full=in_full, holes=holes)


def last_written(told: CardTold, device: UUID) -> LastWritten | None:
    """None when nothing of this device stands on an open line, or all of it was taken back."""
    lines = {line.row.pk: line for line in told.lines if line.is_open}
    rows = CardMark.objects.filter(line__in=lines, device=device).select_related("written_by").order_by("-pk")
    for row in rows:
        if row.state == MarkState.STANDING and not (row.over and row.client_id == taken_back_id(row.over)):
            line = lines[row.line_id]
            before = CardMark.objects.filter(line=row.line_id, client_id=row.over).first() if row.over else None
            said = _mark_told(before, line.in_full).words if before and before.value else ""
            return LastWritten(name=line.name, number=row.number, mark=_mark_told(row, line.in_full), before=said)
    return None


def _mark_told(mark: CardMark, in_full: bool) -> MarkTold:
    value = mark.value
    if value is not None and not in_full:
        value = {name: fact for name, fact in value.items() if name in SEEN_BY_ALL} or None
    written_by = mark.written_by.name if mark.written_by else "somebody who left"
    return MarkTold(
        mark=mark.client_id,
        value=value,
        written_by=written_by,
        claimed_at=mark.claimed_at,
        written_at=mark.written_at,
    )


def _notes(card: Card, lines: Sequence[LineTold]) -> Iterable[tuple[str, str]]:
    if card.state == CardState.DROPPED:
        yield "card_dropped", "This card was dropped. What is written on it counts for nothing."
    if card.state == CardState.OPEN and card.played_on > today_at(card.tee.course):
        yield (
            "played_in_future",
            "The day of this card has not come yet at the course. Put it right before it is sent in.",
        )
    if card.state == CardState.OPEN and card.tee.version != card.tee_version:
        yield "card_tee_changed", "The tee was changed since this card was opened."
    for line in lines:
        if line.is_open and line.contested:
            holes = ", ".join(str(number) for number in line.contested)
            yield "card_unsettled", f"Two values stand for {line.name}, hole {holes}."
