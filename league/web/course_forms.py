"""Forms of courses and tees: one page of eighteen rows, a pasted table that fills it, a file."""

import hashlib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms.boundfield import BoundField

from league.exchange.courses_csv import TABLE_CHARACTERS
from league.models import Course, Group, LengthUnit, RatedFor
from league.rules.printed import LONGEST_HOLE, Doubt, PrintedHole, PrintedTee
from league.web.forms import NEEDED, KeyedForm, PlainText, SeenForm, ZoneSelect, zone_choices

FILE_BYTES = 256 * 1024
HOLE_FIELDS = {"par": "par", "stroke_index": "stroke_index", "length": "length"}
NINES = ("front", "back")


class WholeNumber(forms.IntegerField):
    """Typed with the number keys of a phone."""

    def __init__(self, low: int, high: int, **options: Any) -> None:
        label = options.get("label", "")
        told = f"Enter {low} to {high}."
        widget = forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off", "maxlength": len(str(high)) + 1})
        errors = {"invalid": "Enter a whole number.", "min_value": told, "max_value": told, "required": f"{told}"}
        super().__init__(min_value=low, max_value=high, widget=widget, error_messages=errors, **options)
        self.label = label


class Rating(forms.DecimalField):
    """A course rating; the decimal comma of many phones is taken as a point."""

    def __init__(self, **options: Any) -> None:
        widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off", "maxlength": 6})
        one_decimal = "A course rating has one decimal, like 72.3."
        kinds = ("invalid", "max_decimal_places", "max_digits", "max_whole_digits")
        errors = {**NEEDED, **dict.fromkeys(kinds, one_decimal)}
        super().__init__(max_digits=4, decimal_places=1, widget=widget, error_messages=errors, **options)

    def to_python(self, value: Any) -> Any:
        typed = value.strip().replace(",", ".") if isinstance(value, str) else value
        return super().to_python(typed)


def day_field(label: str, *, required: bool = False, help_text: str = "") -> forms.DateField:
    widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    told = "Write the day as 2026-04-03."
    return forms.DateField(
        label=label,
        required=required,
        help_text=help_text,
        input_formats=["%Y-%m-%d"],
        widget=widget,
        error_messages={**NEEDED, "invalid": told},
    )


NOT_KEPT = frozenset(("csrfmiddlewaretoken", "table", "seen", "confirmed"))
"""What a page that is shown again without being judged does not carry along."""


class WhoseForm(KeyedForm):
    """Of a group that one organises, or one's own."""

    whose = forms.ChoiceField(label="Whose course", required=False, widget=forms.RadioSelect)

    def __init__(self, groups: Iterable[Group], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.groups = {str(group.pk): group for group in groups}
        field = self.fields["whose"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [*((pk, f"of {group.name}") for pk, group in self.groups.items()), ("", "mine alone")]
        field.initial = next(iter(self.groups), "")
        if not self.groups:
            del self.fields["whose"]

    @property
    def group(self) -> Group | None:
        return self.groups.get(self.cleaned_data.get("whose", ""))


class CourseForm(SeenForm, WhoseForm):
    name = PlainText(80, label="Name of the course")
    place = PlainText(80, label="Place", required=False, help_text="Town or district; the search finds it too.")
    n_holes = forms.TypedChoiceField(
        label="Holes", choices=[(18, "eighteen"), (9, "nine")], coerce=int, initial=18, widget=forms.RadioSelect
    )
    time_zone = forms.ChoiceField(
        label="Time zone",
        required=False,
        widget=ZoneSelect,
        choices=lambda: [("", "as the group"), *zone_choices()],
        help_text="Only for a course in another zone than the group's: it says which day is today there.",
    )
    field_order = ("name", "place", "n_holes", "time_zone", "whose")

    def __init__(self, groups: Iterable[Group], *args: Any, course: Course | None = None, **kwargs: Any) -> None:
        super().__init__(groups, *args, **kwargs)
        if course is not None:
            self.fields.pop("whose", None)
            if course.tees.exists():
                self.fields["n_holes"].disabled = True
                self.fields["n_holes"].help_text = "Stays while the course has tees."


class CourseFileForm(WhoseForm):
    """First a file, then its text again with the word to store it."""

    file = forms.FileField(
        label="Course file",
        required=False,
        help_text="A course exported here, as JSON.",
        widget=forms.ClearableFileInput(attrs={"accept": "application/json,.json"}),
    )
    text = forms.CharField(required=False, max_length=FILE_BYTES, strip=False, widget=forms.HiddenInput)
    confirmed = forms.BooleanField(label="I have compared them with the card: store them so", required=False)

    def clean(self) -> None:
        file = self.cleaned_data.get("file")
        if file is not None and file.size > FILE_BYTES:
            self.add_error("file", f"The file is larger than {FILE_BYTES // 1024} KiB. One course is far smaller.")
        elif file is None and not self.cleaned_data.get("text") and not self.errors:
            self.add_error("file", "Choose a file.")

    @property
    def raw(self) -> bytes:
        file = self.cleaned_data.get("file")
        if file is not None:
            data: bytes = file.read()
            return data
        return str(self.cleaned_data["text"]).encode("utf-8", "surrogatepass")


@dataclass(frozen=True)
class HoleLine:
    number: int
    par: BoundField
    length: BoundField
    stroke_index: BoundField

    @property
    def errors(self) -> list[tuple[BoundField, str]]:
        return [(field, str(error)) for field in (self.par, self.length, self.stroke_index) for error in field.errors]


class TeeForm(SeenForm):
    """A tee as its card has it. `seen` binds the tick under doubts to the very doubts that were shown."""

    name = PlainText(40, label="Name of the tee", help_text="Such as its colour.")
    rated_for = forms.ChoiceField(
        label="Rated for",
        choices=RatedFor.choices,
        initial=RatedFor.MEN,
        widget=forms.RadioSelect,
        help_text="The same tee rated for the other gender is entered as a tee of its own.",
    )
    course_rating = Rating(label="Course rating", help_text="One decimal.")
    slope_rating = WholeNumber(55, 155, label="Slope rating", help_text="55 to 155.")
    front_course_rating = Rating(label="Front nine, rating", required=False)
    front_slope_rating = WholeNumber(55, 155, label="Front nine, slope", required=False)
    back_course_rating = Rating(label="Back nine, rating", required=False)
    back_slope_rating = WholeNumber(55, 155, label="Back nine, slope", required=False)
    length_unit = forms.ChoiceField(
        label="Lengths in", choices=LengthUnit.choices, initial=LengthUnit.YARDS, widget=forms.RadioSelect
    )
    valid_from = day_field("First day", help_text="Empty: it has always held.")
    valid_until = day_field("Last day", help_text="Empty: it holds until it is re-rated.")
    par_total = WholeNumber(27, 108, label="Par, total on the card", required=False)
    length_total = WholeNumber(1, 99_999, label="Length, total on the card", required=False)
    table = PlainText(
        TABLE_CHARACTERS,
        lines=True,
        label="A table to paste",
        required=False,
        help_text="Hole, par, stroke index and length, in columns or in rows, as a spreadsheet or a list has them.",
        widget=forms.Textarea(attrs={"rows": 6, "autocomplete": "off", "spellcheck": "false"}),
    )
    seen = forms.CharField(required=False, max_length=64, widget=forms.HiddenInput)
    confirmed = forms.BooleanField(label="I have compared this with the card: it is right", required=False)

    def field_of(self, path: str) -> str:
        """`holes.6.par` is the field `par_7` of the page."""
        parts = path.split(".")
        if len(parts) == 3 and parts[0] == "holes" and parts[2] in HOLE_FIELDS:
            return f"{parts[2]}_{int(parts[1]) + 1}"
        return path

    def __init__(
        self,
        n_holes: int,
        *args: Any,
        is_used: bool = False,
        is_version: bool = False,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.n_holes = n_holes
        self._add_holes()
        if n_holes == 9:
            for nine in NINES:
                del self.fields[f"{nine}_course_rating"], self.fields[f"{nine}_slope_rating"]
        if is_version:
            self.fields["rated_for"].disabled = True
            self.fields["valid_from"].required = True
            self.fields["valid_from"].help_text = "The present rating ends the day before."
            del self.fields["valid_until"]
        if is_used:
            for name in self._what_counts():
                self.fields[name].disabled = True
            del self.fields["table"]

    def _add_holes(self) -> None:
        for number in range(1, self.n_holes + 1):
            self.fields[f"par_{number}"] = WholeNumber(3, 6, label=f"Par of hole {number}")
            length = WholeNumber(1, LONGEST_HOLE, label=f"Length of hole {number}", required=False)
            self.fields[f"length_{number}"] = length
            self.fields[f"stroke_index_{number}"] = WholeNumber(1, 18, label=f"Stroke index of hole {number}")
            for name in HOLE_FIELDS:
                field = self.fields[f"{name}_{number}"]
                field.widget.attrs["aria-label"] = field.label

    def _what_counts(self) -> Iterator[str]:
        yield from ("rated_for", "course_rating", "slope_rating", "par_total")
        for name in self.fields:
            if name.startswith((*NINES, "par_", "stroke_index_")):
                yield name

    @property
    def lines(self) -> list[HoleLine]:
        return [
            HoleLine(number, *(self[f"{name}_{number}"] for name in ("par", "length", "stroke_index")))
            for number in range(1, self.n_holes + 1)
        ]

    @property
    def has_nines(self) -> bool:
        return self.n_holes == 18

    @property
    def printed(self) -> PrintedTee:
        entered = self.cleaned_data
        nines = {
            f"{nine}_{what}": entered.get(f"{nine}_{what}")
            for nine in NINES
            for what in ("course_rating", "slope_rating")
        }
        return PrintedTee(
            name=entered["name"],
            rated_for=entered["rated_for"],
            length_unit=entered["length_unit"],
            course_rating=entered["course_rating"],
            slope_rating=entered["slope_rating"],
            **nines,
            holes=tuple(
                PrintedHole(
                    number, entered[f"par_{number}"], entered[f"stroke_index_{number}"], entered[f"length_{number}"]
                )
                for number in range(1, self.n_holes + 1)
            ),
            valid_from=entered.get("valid_from"),
            valid_until=entered.get("valid_until"),
            par_total=entered["par_total"],
            length_total=entered["length_total"],
        )

    def refilled(
        self, holes: Sequence[PrintedHole], length_unit: str, *, table: str = "", is_version: bool
    ) -> "TeeForm":
        """A form with everything typed so far and these holes in its rows; not judged yet."""
        typed = {name: value for name, value in self.data.items() if name not in NOT_KEPT}
        entries = {**self.initial, **typed, **hole_entries(holes), "table": table}
        if length_unit:
            entries["length_unit"] = length_unit
        return TeeForm(self.n_holes, initial=entries, is_version=is_version)

    def is_confirmed(self, doubts: list[Doubt]) -> bool:
        return bool(self.cleaned_data["confirmed"]) and self.cleaned_data["seen"] == seal(doubts)

    def ask(self, doubts: list[Doubt]) -> None:
        """Shows the doubts with an empty tick; a tick set for others does not count."""
        kept = {name: value for name, value in self.data.items() if name != "confirmed"}
        self.data = {**kept, "seen": seal(doubts)}


def seal(doubts: list[Doubt]) -> str:
    return hashlib.sha256(repr([(doubt.code, doubt.message) for doubt in doubts]).encode()).hexdigest()


def tee_entries(card: PrintedTee) -> dict[str, Any]:
    """What a form of this tee begins with."""
    entries: dict[str, Any] = {
        name: getattr(card, name)
        for name in TeeForm.base_fields
        if hasattr(card, name) and name not in ("par_total", "length_total")
    }
    return {**entries, **hole_entries(card.holes)}


def hole_entries(holes: Iterable[PrintedHole]) -> dict[str, Any]:
    return {f"{name}_{hole.number}": getattr(hole, name) for hole in holes for name in HOLE_FIELDS}
