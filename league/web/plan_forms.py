"""Forms about plans: the barrier and the day, one hole by hand, and kept or not."""

import re
from collections.abc import Iterator, Mapping
from typing import Any

from django import forms

from league.charts import day_words
from league.estimates.conditions import ALTITUDES, GROUNDS, TEMPERATURES, WIND_SPEEDS
from league.models import Round, Tee
from league.models.barriers import HIGHEST_BARRIER, LOWEST_BARRIER
from league.models.plans import Stance
from league.services.plans import LONGEST_CLUB, LONGEST_NOTE, conditions_of
from league.web.forms import KeyedForm, PlainText, SeenForm, TeeChoice
from league.web.round_forms import count_field

SIDES = {
    "ahead": "Into the wind",
    "behind": "With the wind",
    "left": "Wind from the left",
    "right": "Wind from the right",
}
SPAN = re.compile(r"([0-9]{1,2})(?:\s*[-–]\s*([0-9]{1,2}))?", re.ASCII)  # noqa: RUF001 (a dash as people type it)


class HolesField(forms.CharField):
    """Numbers of holes as people write them: "1, 4, 9-12"."""

    def __init__(self, **options: Any) -> None:
        super().__init__(required=False, max_length=80, **options)
        self.widget.attrs |= {"autocomplete": "off", "placeholder": "1, 4, 9-12"}

    def clean(self, value: Any) -> tuple[int, ...]:
        text = super().clean(value)
        found: set[int] = set()
        for part in filter(None, re.split(r"[\s,;]*[,;][\s,;]*|\s+(?![-–])(?<![-–]\s)", text.strip())):  # noqa: RUF001
            span = SPAN.fullmatch(part)
            if span is None:
                raise forms.ValidationError("Write holes as 1, 4, 9-12.", code="holes")
            first, last = int(span[1]), int(span[2] or span[1])
            if not 1 <= first <= last <= 18:
                raise forms.ValidationError("Holes are numbered 1 to 18.", code="holes")
            found |= {*range(first, last + 1)}
        return tuple(sorted(found))


def holes_words(numbers: list[int]) -> str:
    """
    >>> holes_words([1, 4, 9, 10, 11])
    '1, 4, 9-11'
    """
    parts: list[list[int]] = []
    for number in sorted(numbers):
        if parts and parts[-1][-1] == number - 1:
            parts[-1].append(number)
        else:
            parts.append([number])
    return ", ".join(str(part[0]) if len(part) == 1 else f"{part[0]}-{part[-1]}" for part in parts)


class DayForm(KeyedForm):
    """The barrier, the day and its weather."""

    barrier = forms.IntegerField(
        label="Get under",
        min_value=LOWEST_BARRIER,
        max_value=HIGHEST_BARRIER,
        help_text="A gross score for eighteen holes.",
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )
    for_day = forms.DateField(label="For the day", required=False, widget=forms.DateInput(attrs={"type": "date"}))
    temperature_c = forms.IntegerField(
        label="Degrees Celsius",
        required=False,
        min_value=TEMPERATURES[0],
        max_value=TEMPERATURES[1],
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    ground = forms.ChoiceField(
        label="Ground", required=False, choices=[("", "not known"), *((one, one) for one in GROUNDS if one)]
    )
    altitude_m = forms.IntegerField(
        label="Metres higher",
        required=False,
        min_value=ALTITUDES[0],
        max_value=ALTITUDES[1],
        help_text="Than where your carries come from; lower with a minus.",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    wind_speed = forms.ChoiceField(
        label="Wind", required=False, choices=[("", "none, or not known"), *((one, one) for one in WIND_SPEEDS if one)]
    )
    ahead = HolesField(label=SIDES["ahead"])
    behind = HolesField(label=SIDES["behind"])
    left = HolesField(label=SIDES["left"])
    right = HolesField(label=SIDES["right"])

    def clean(self) -> dict[str, Any]:
        entered = super().clean() or {}
        seen: dict[int, str] = {}
        for side, label in SIDES.items():
            for number in entered.get(side) or ():
                if number in seen:
                    self.add_error(side, f"Hole {number} stands under “{seen[number]}” already.")
                seen[number] = label
        if seen and not entered.get("wind_speed"):
            self.add_error("wind_speed", "A wind has a strength.")
        return entered

    def conditions(self) -> dict[str, Any]:
        entered = self.cleaned_data
        wind = {number: side for side in SIDES for number in entered[side]}
        names = ("temperature_c", "wind_speed", "ground", "altitude_m")
        return conditions_of(**{name: entered[name] for name in names}, wind=wind)


class PlanForm(DayForm):
    tee = TeeChoice(label="Tee", queryset=Tee.objects.none(), empty_label=None)
    field_order = ("tee", "barrier", "for_day")

    def __init__(self, tees: list[Tee], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["tee"]
        assert isinstance(field, TeeChoice)
        field.queryset = Tee.objects.filter(pk__in=[tee.pk for tee in tees]).select_related("course")


class AnewForm(DayForm, SeenForm):
    """The same entries for a plan that stands."""


def entries_of(conditions: Mapping[str, Any]) -> dict[str, Any]:
    """What the form shows of stored conditions."""
    wind: dict[str, list[int]] = {side: [] for side in SIDES}
    for number, side in conditions.get("wind", {}).items():
        wind[side].append(int(number))
    plain = {name: value for name, value in conditions.items() if name != "wind"}
    return {**plain, **{side: holes_words(numbers) for side, numbers in wind.items()}}


class HoleForm(SeenForm):
    personal_par = count_field("Your par")
    stance = forms.ChoiceField(label="Stance", required=False, choices=[("", "as worked out"), *Stance.choices])
    club = PlainText(LONGEST_CLUB, label="Club from the tee", required=False)
    note = PlainText(LONGEST_NOTE, label="A word to yourself", required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["club"].widget.attrs |= {"list": "clubs", "autocomplete": "off"}
        self.fields["personal_par"].help_text = "Empty: the others decide. The sum stays."


class KeptForm(SeenForm):
    """A round and eighteen answers, each of which can be taken back; a hole left open may count as kept."""

    round = forms.ModelChoiceField(label="The round", queryset=Round.objects.none(), empty_label=None)
    rest_kept = forms.BooleanField(label="Every hole left open was kept", required=False)

    def __init__(self, rounds: list[Round], numbers: list[int], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.numbers = numbers
        field = self.fields["round"]
        assert isinstance(field, forms.ModelChoiceField)
        field.queryset = Round.objects.filter(pk__in=[one.pk for one in rounds])
        field.label_from_instance = lambda obj: f"{day_words(obj.played_on)}, {obj.gross or 'no total'}"  # type: ignore[method-assign]
        for number in numbers:
            self.fields[f"h{number}"] = forms.ChoiceField(
                label=f"Hole {number}",
                required=False,
                choices=[("yes", "kept"), ("no", "not kept"), ("", "open")],
                widget=forms.RadioSelect,
            )

    @property
    def rows(self) -> Iterator[tuple[int, forms.BoundField]]:
        for number in self.numbers:
            yield number, self[f"h{number}"]

    def answers(self) -> dict[int, bool | None]:
        """By hole; None for one that is open, whatever stood there, unless those count as kept.

        A hole that was not sent is not in it.
        """
        left_open = True if self.cleaned_data["rest_kept"] else None
        told = {number: self.cleaned_data[f"h{number}"] for number in self.numbers}
        return {
            number: value == "yes" if value else left_open
            for number, value in told.items()
            if left_open or self.add_prefix(f"h{number}") in self.data
        }
