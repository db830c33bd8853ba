"""Forms of a card that is kept by page: opening it, one hole of it, sending it in."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID, uuid4

from django import forms
from django.conf import settings
from django.forms import BoundField

from league.models import Group, HolesInPlay, NotPlayedReason, Player, Tee
from league.reports.cards import CardHole, CardTold, LineTold, PlayedBefore
from league.services.card_lines import TEE_CHANGED, Sending
from league.services.card_marks import COLUMNS, Written, facts_of, plain_value
from league.services.cards import MOST_PLAYERS
from league.services.rounds import hole_problems
from league.web.forms import KeyedForm, SeenForm, TeeChoice

NUMBER = {"inputmode": "numeric", "autocomplete": "off"}


class CardForm(KeyedForm):
    """Where, when and with whom: what is said when a card is opened, and what may be put right while it is open."""

    tee = TeeChoice(label="Tee", queryset=Tee.objects.none(), empty_label=None)
    played_on = forms.DateField(
        label="Day at the course", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    group = forms.ModelChoiceField(
        label="For the group",
        queryset=Group.objects.none(),
        required=False,
        empty_label="none",
        help_text="Its organisers see that the card is being kept, by whom and how far it is, not the strokes.",
    )
    players = forms.ModelMultipleChoiceField(
        label="Who is on the card",
        queryset=Player.objects.none(),
        widget=forms.CheckboxSelectMultiple,
        help_text=f"One to {MOST_PLAYERS}. What you write for a member counts when that member says yes.",
        error_messages={"required": "Choose who is on the card."},
    )

    def __init__(self, tees: Sequence[Tee], groups: Any, people: Any, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        tee, group, players = (self.fields[name] for name in ("tee", "group", "players"))
        assert isinstance(tee, forms.ModelChoiceField)
        assert isinstance(group, forms.ModelChoiceField)
        assert isinstance(players, forms.ModelMultipleChoiceField)
        tee.queryset = Tee.objects.filter(pk__in=[one.pk for one in tees]).select_related("course__group")
        group.queryset, players.queryset = groups, people
        group.label_from_instance = lambda obj: str(obj.name)  # type: ignore[method-assign]
        players.label_from_instance = lambda obj: str(obj.name)  # type: ignore[method-assign]


class OpenForm(CardForm):
    holes_in_play = forms.ChoiceField(
        label="Holes", choices=[("", "all of the course"), *HolesInPlay.choices], required=False
    )
    field_order = ("tee", "holes_in_play", "played_on", "group", "players")


class ChangeForm(CardForm, SeenForm):
    order_in_day = forms.IntegerField(
        label="Which round of that day", min_value=1, max_value=9, error_messages={"required": "Enter 1 to 9."}
    )
    field_order = ("tee", "played_on", "order_in_day", "group", "players")


ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth")
NOTED = [("", "not noted"), ("yes", "yes"), ("no", "no")]
COUNTS = (("strokes", "strokes", 1), ("putts", "putts", 0), ("penalties", "penalty strokes", 0))
FINER = (
    ("strokes_from_60", "strokes from inside 60 yards"),
    ("first_putt_beyond_20ft", "first putt from beyond 20 feet"),
    ("recovery", "a shot only to get back into play"),
)


def _count(label: str, least: int, value: int | None) -> forms.IntegerField:
    most = settings.LEAGUE_MOST_STROKES_A_HOLE
    out_of_range = f"Enter {least} to {most}, or leave it empty."
    return forms.IntegerField(
        label=label,
        min_value=least,
        max_value=most,
        required=False,
        initial=value,
        widget=forms.TextInput(attrs=NUMBER),
        error_messages={"min_value": out_of_range, "max_value": out_of_range, "invalid": out_of_range},
    )


def _noted(label: str, value: bool | None) -> forms.TypedChoiceField:
    initial = "" if value is None else "yes" if value else "no"
    return forms.TypedChoiceField(
        label=label,
        choices=NOTED,
        coerce=lambda said: said == "yes",
        required=False,
        empty_value=None,
        initial=initial,
    )


@dataclass(frozen=True)
class LineFields:
    """The fields of one line with their words; `finer` stand behind a fold that is open when something is in it.

    `line` is the line's id where it is the reader's own.
    """

    name: str
    line: UUID | None
    plain: list[tuple[BoundField, str]]
    finer: list[tuple[BoundField, str]]

    @property
    def is_unfolded(self) -> bool:
        return any(field.errors or field.value() not in (None, "") for field, _ in self.finer)


class HoleForm(KeyedForm):
    """One hole for every open line; `over` is the mark that was shown. Where two values wait, a choice comes first."""

    def __init__(self, told: CardTold, number: int, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.told, self.number = told, number
        open_ones = [line for line in told.lines if line.is_open]
        self.lines = [line for line in open_ones if not hole_of(line, number).contested]
        self.contested = [line.name for line in open_ones if hole_of(line, number).contested]
        for line in self.lines:
            self._add(line, hole_of(line, number))

    def _add(self, line: LineTold, hole: CardHole) -> None:
        place, value = line.row.place, hole.value or {}
        for name, words, least in COUNTS if line.in_full else COUNTS[:1]:
            self.fields[f"{name}_{place}"] = _count(f"{line.name}: {words}", least, value.get(name))
        self.fields[f"picked_up_{place}"] = forms.BooleanField(
            label=f"{line.name}: picked up", required=False, initial=bool(value.get("picked_up"))
        )
        for name, words in FINER if line.in_full else ():
            label = f"{line.name}: {words}"
            field = _count(label, 0, value.get(name)) if name == "strokes_from_60" else _noted(label, value.get(name))
            self.fields[f"{name}_{place}"] = field
        over = hole.standing.mark if hole.standing else None
        self.fields[f"over_{place}"] = forms.UUIDField(required=False, initial=over, widget=forms.HiddenInput)

    def line_fields(self) -> Iterator[LineFields]:
        for line in self.lines:
            plain = [*((name, words) for name, words, _ in COUNTS), ("picked_up", "picked up"), ("over", "")]
            yield LineFields(
                line.name,
                line.row.pk if line.is_own else None,
                self._bound(plain, line.row.place),
                self._bound(FINER, line.row.place),
            )

    def _bound(self, named: Iterable[tuple[str, str]], place: int) -> list[tuple[BoundField, str]]:
        keys = ((f"{name}_{place}", words) for name, words in named)
        return [(self[key], words) for key, words in keys if key in self.fields]

    def clean(self) -> None:
        """What a person writes here is whole: a phone may hand over half a hole, and is asked on the phone."""
        super().clean()
        if self.errors:
            return
        for line in self.lines:
            value = self._changed(line)
            if value:
                self._check(line.row.place, value)

    def _check(self, place: int, value: dict[str, Any]) -> None:
        if value.get("strokes") is None and not value.get("picked_up"):
            self.add_error(f"strokes_{place}", "Enter the strokes too, or say that the ball was picked up.")
            return
        for problem in hole_problems(facts_of(self.number, value)):
            field = f"{problem.field.rpartition('.')[2]}_{place}"
            self.add_error(field if field in self.fields else None, problem.message)

    def written(self) -> list[Written]:
        """A mark for each line whose entries differ from what was shown."""
        return [self._mark(line, value) for line in self.lines if (value := self._changed(line)) is not None]

    def _changed(self, line: LineTold) -> dict[str, Any] | None:
        """What is said of the hole now, empty when all was cleared; None when nothing differs from what was shown."""
        shown, place = plain_value(hole_of(line, self.number).value) or {}, line.row.place
        said = {name: self.cleaned_data[key] for name in COLUMNS if (key := f"{name}_{place}") in self.fields}
        value = plain_value({**shown, **said}) or {}
        return None if value == shown else value

    def _mark(self, line: LineTold, value: dict[str, Any]) -> Written:
        over: UUID | None = self.cleaned_data[f"over_{line.row.place}"]
        return Written(client_id=uuid4(), line=line.row.pk, number=self.number, over=over, value=value or None)


class SendForm(KeyedForm):
    """What is asked before lines become rounds; what does not come up is not asked."""

    not_played_reason = forms.ChoiceField(
        label="If holes were not played: why (Rule 3.2)",
        required=False,
        choices=[("", "all were played"), *NotPlayedReason.choices],
    )

    def __init__(self, told: CardTold, before: Sequence[PlayedBefore], tees: Sequence[Tee], *args: Any) -> None:
        super().__init__(*args)
        if told.asks_tee:
            label = "The tee was changed since the card was opened. I have looked at it: send the card on it."
            self.fields["tee_seen"] = forms.BooleanField(label=label, required=False)
        if before:
            self.fields["order_in_day"] = _order_field(max(len(one.rounds) for one in before))
        if tees:
            self.fields["tee"] = TeeChoice(
                label="If another tee was played",
                queryset=Tee.objects.filter(pk__in=[tee.pk for tee in tees]).select_related("course"),
                required=False,
                empty_label=f"no: {told.card.tee}",
            )

    def clean(self) -> None:
        super().clean()
        entered = self.cleaned_data
        if "tee_seen" in self.fields and not entered.get("tee_seen") and not entered.get("tee"):
            self.add_error("tee_seen", "Look at the tee, then say so here or choose another one.")

    @property
    def sending(self) -> Sending:
        entered = self.cleaned_data
        return Sending(
            confirmed={TEE_CHANGED} if entered.get("tee_seen") else set(),
            tee=entered.get("tee"),
            not_played_reason=entered["not_played_reason"],
            order_in_day=entered.get("order_in_day"),
            without_round=frozenset(entered.get("without_round") or ()),
        )


class SendAllForm(SendForm):
    """With the lines that are to close without a round, whatever is written on them."""

    def __init__(self, told: CardTold, *args: Any) -> None:
        super().__init__(told, *args)
        lines = [line for line in told.closing if line.is_posted]
        if told.is_scorer and len(told.lines) == 1:
            return
        self.fields["without_round"] = forms.TypedMultipleChoiceField(
            label="No round for",
            choices=[(line.row.pk, line.name) for line in lines],
            coerce=UUID,
            required=False,
            widget=forms.CheckboxSelectMultiple,
            help_text="For somebody who stopped: the line closes as it is.",
        )


def _order_field(n_before: int) -> forms.TypedChoiceField:
    places = [(place, f"the {ordinal} of the day") for place, ordinal in enumerate(ORDINALS[:n_before], 1)]
    return forms.TypedChoiceField(
        label="Which round of that day was this",
        choices=[("", "after those stored already"), *places],
        coerce=int,
        empty_value=None,
        required=False,
        help_text="Both are measured by the index of that morning (Rule 5.4); the order says which is newer.",
    )


def hole_of(line: LineTold, number: int) -> CardHole:
    return next(hole for hole in line.holes if hole.number == number)
