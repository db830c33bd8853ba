"""The form of a described hole: rows of trouble and of widths, with blank rows to write on; and the pasted table."""

import hashlib
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms.boundfield import BoundField

from league.charts.hole_words import KINDS
from league.exchange.descriptions_table import TABLE_CHARACTERS
from league.models import LengthUnit, Tee
from league.rules import described
from league.rules.described import CountedFrom, Described, Side, Trouble, TroubleKind, Width
from league.rules.errors import RuleBroken
from league.rules.printed import LONGEST_HOLE
from league.services.descriptions import LONGEST_REASON
from league.web.course_forms import WholeNumber
from league.web.forms import NEEDED, PlainText, SeenForm

BLANK_ROWS, BLANK_WIDTHS = 2, 1
TROUBLE = ("kind", "side", "begins", "ends", "off_line", "depth", "counted_from", "note")
MEANT = ("kind", "side", "begins", "ends", "off_line", "depth", "note")
"""What makes a row more than blank: where distances count from stands there from the start."""
COUNTED = (
    "The tee that distances and heights count from. For other tees distances move by the difference of the lengths; "
    "heights, and distances in notes, do not."
)
NOTED = "A distance in it stays as written from every tee: to the green serves all of them."
ROW = re.compile(r"(trouble|widths)_([0-9]{1,2})_[a-z_]+")
NUMBERS = ("green_depth", "green_width", "bend_at", "bend_degrees", "rise_to_landing", "rise_to_green")
GREEN_SIDES = [(side.value, side.value) for side in (Side.SHORT, Side.LEFT, Side.RIGHT, Side.LONG)]
BEND_SIDES = [("left", "left"), ("right", "right")]


class Signed(WholeNumber):
    """May be below zero: not every phone's number keys have a minus."""

    def __init__(self, low: int, high: int, **options: Any) -> None:
        super().__init__(low, high, **options)
        del self.widget.attrs["inputmode"]
        self.widget.attrs["maxlength"] = 4


def _choice(label: str, choices: Iterable[tuple[str, str]], empty: str = "not known", **options: Any) -> Any:
    options.setdefault("required", False)
    return forms.ChoiceField(label=label, choices=[("", empty), *choices], error_messages=NEEDED, **options)


@dataclass(frozen=True)
class RowShown:
    """One row of the form with its number as people count."""

    number: int
    fields: list[BoundField]


class HoleForm(SeenForm):
    """A hole as it is now. Rows that are left blank are not there; what is left empty is not known."""

    name = PlainText(described.LONGEST_NAME, label="Name of the hole", required=False)
    measured_from = forms.ChoiceField(
        label="Measured from",
        required=False,
        help_text=COUNTED,
    )
    length_unit = forms.ChoiceField(
        label="Distances in", choices=LengthUnit.choices, widget=forms.RadioSelect, error_messages=NEEDED
    )
    green_depth = WholeNumber(1, 80, label="Deep", required=False)
    green_width = WholeNumber(1, 80, label="Wide", required=False)
    safe_side = _choice("Safe side to miss on", GREEN_SIDES)
    hard_chip_from = forms.MultipleChoiceField(
        label="A miss leaves a hard chip", choices=GREEN_SIDES, required=False, widget=forms.CheckboxSelectMultiple
    )
    bend_to = _choice("Bends", BEND_SIDES, "not, or not known")
    bend_at = WholeNumber(1, LONGEST_HOLE, label="At, from the tee", required=False)
    bend_degrees = WholeNumber(5, 100, label="By degrees, roughly", required=False)
    rise_to_landing = Signed(-described.STEEPEST, described.STEEPEST, label="Landing, above the tee", required=False)
    rise_to_green = Signed(-described.STEEPEST, described.STEEPEST, label="Green, above the tee", required=False)
    note = PlainText(described.LONGEST_NOTE, label="Note on the hole", required=False, help_text=NOTED)
    reason = PlainText(
        LONGEST_REASON, label="Why it changes", required=False, help_text="Stands beside the version for everybody."
    )

    def __init__(self, number: int, tees: Iterable[Tee], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.number = number
        self.tees = {str(tee.pk): tee for tee in tees}
        field = self.fields["measured_from"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [*((key, str(tee)) for key, tee in self.tees.items()), ("", "no tee: they serve every tee")]
        self.n_rows = {"trouble": self._count("trouble"), "widths": self._count("widths")}
        for place in range(self.n_rows["trouble"]):
            self._add_trouble(place)
        for place in range(self.n_rows["widths"]):
            at = f"Width {place + 1}: "
            self.fields[f"widths_{place}_distance"] = WholeNumber(1, LONGEST_HOLE, label=f"{at}at", required=False)
            self.fields[f"widths_{place}_width"] = WholeNumber(1, described.WIDEST, label=f"{at}wide", required=False)
        self._places: dict[str, list[int]] = {"trouble": [], "widths": []}

    def _count(self, kind: str) -> int:
        """As many rows as were sent, or as stand there with some to write on; never more than a hole may have."""
        found = [ROW.fullmatch(name) for name in (self.data if self.is_bound else self.initial)]
        used = max((int(one[2]) + 1 for one in found if one and one[1] == kind), default=0)
        blank = 0 if self.is_bound else BLANK_ROWS if kind == "trouble" else BLANK_WIDTHS
        return min(used + blank, described.MOST_TROUBLE if kind == "trouble" else described.MOST_WIDTHS)

    def _add_trouble(self, place: int) -> None:
        def label(words: str) -> str:
            return f"Trouble {place + 1}: {words}"

        kinds = [(kind.value, words) for kind, words in KINDS.items()]
        far, near = LONGEST_HOLE, -described.ROUND_THE_GREEN
        aside = described.FARTHEST_OFF_LINE
        fields: dict[str, forms.Field] = {
            "kind": _choice(label("what it is"), kinds, "no trouble"),
            "side": _choice(label("side"), [(one, one) for one in ("left", "right", "across")], "choose"),
            "begins": Signed(near, far, label=label("from"), required=False),
            "ends": Signed(near, far, label=label("to"), required=False),
            "off_line": WholeNumber(0, aside, label=label("off the line"), required=False),
            "depth": WholeNumber(1, aside, label=label("deep"), required=False),
            "counted_from": forms.ChoiceField(
                label=label("counted from"),
                choices=[("tee", "the tee"), ("green", "mid green")],
                initial="tee",
                required=False,
            ),
            "note": PlainText(described.LONGEST_NOTE, label=label("note"), required=False),
        }
        for name, field in fields.items():
            self.fields[f"trouble_{place}_{name}"] = field

    @property
    def trouble_rows(self) -> list[RowShown]:
        return self._rows("trouble", TROUBLE)

    @property
    def width_rows(self) -> list[RowShown]:
        return self._rows("widths", ("distance", "width"))

    def _rows(self, kind: str, names: tuple[str, ...]) -> list[RowShown]:
        return [
            RowShown(place + 1, [self[f"{kind}_{place}_{name}"] for name in names])
            for place in range(self.n_rows[kind])
        ]

    @property
    def tee(self) -> Tee | None:
        return self.tees.get(self.cleaned_data["measured_from"])

    def clean(self) -> None:
        super().clean()
        for place in range(self.n_rows["trouble"]):
            if any(self._typed("trouble", place, name) for name in MEANT):
                self._need("trouble", place, {"kind": "Choose what it is.", "side": "Choose a side."})
                self._need("trouble", place, {"begins": "Say where it begins."})
        for place in range(self.n_rows["widths"]):
            if any(self._typed("widths", place, name) for name in ("distance", "width")):
                self._need("widths", place, {"distance": "Say at which distance.", "width": "Say how wide."})

    def _typed(self, kind: str, place: int, name: str) -> bool:
        return bool(self[f"{kind}_{place}_{name}"].data)

    def _need(self, kind: str, place: int, said: Mapping[str, str]) -> None:
        for name, words in said.items():
            if not self._typed(kind, place, name):
                self.add_error(f"{kind}_{place}_{name}", words)

    @property
    def hole(self) -> Described:
        """What the entries say, checked already field by field; the rules may still object."""
        entered = self.cleaned_data
        troubles = [place for place in range(self.n_rows["trouble"]) if entered[f"trouble_{place}_kind"]]
        widths = [place for place in range(self.n_rows["widths"]) if entered[f"widths_{place}_distance"]]
        widths.sort(key=lambda place: entered[f"widths_{place}_distance"])
        self._places = {"trouble": troubles, "widths": widths}
        return Described(
            number=self.number,
            name=entered["name"],
            note=entered["note"],
            trouble=tuple(map(self._trouble, troubles)),
            widths=tuple(Width(entered[f"widths_{at}_distance"], entered[f"widths_{at}_width"]) for at in widths),
            safe_side=Side(entered["safe_side"]) if entered["safe_side"] else None,
            hard_chip_from=tuple(Side(side) for side in entered["hard_chip_from"]),
            bend_to=Side(entered["bend_to"]) if entered["bend_to"] else None,
            **{name: entered[name] for name in NUMBERS},
        )

    def _trouble(self, place: int) -> Trouble:
        entered = {name: self.cleaned_data[f"trouble_{place}_{name}"] for name in TROUBLE}
        ends = entered["begins"] if entered["ends"] is None else entered["ends"]
        return Trouble(
            kind=TroubleKind(entered["kind"]),
            side=Side(entered["side"]),
            begins=entered["begins"],
            ends=ends,
            off_line=entered["off_line"],
            depth=entered["depth"],
            counted_from=CountedFrom(entered["counted_from"] or CountedFrom.TEE),
            note=entered["note"],
        )

    def take(self, broken: RuleBroken) -> None:
        """`trouble.1.ends` of the rules is the second row that was written on, wherever that stands."""
        for one in broken.problems:
            kind, _, rest = one.field.partition(".")
            place, _, name = rest.partition(".")
            field = f"{kind}_{self._places[kind][int(place)]}_{name}" if rest else one.field
            self.add_error(field if field in self.fields else None, one.message)

    def drawn(self, hole: Described) -> "HoleForm":
        """The same entries as a fresh form, with blank rows after those in use."""
        kept = {name: self.cleaned_data[name] for name in ("measured_from", "length_unit", "reason", "version")}
        return HoleForm(self.number, self.tees.values(), initial={**hole_entries(hole), **kept})


def hole_entries(hole: Described) -> dict[str, Any]:
    """What a form of this hole begins with."""
    entries: dict[str, Any] = {
        name: getattr(hole, name) for name in ("name", "note", "safe_side", "bend_to", "hard_chip_from", *NUMBERS)
    }
    for place, trouble in enumerate(hole.trouble):
        entries |= {f"trouble_{place}_{name}": getattr(trouble, name) for name in TROUBLE}
    for place, width in enumerate(hole.widths):
        entries |= {f"widths_{place}_distance": width.distance, f"widths_{place}_width": width.width}
    return entries


class HolesTableForm(forms.Form):
    """First read, then, with the seal of what was read, stored."""

    table = PlainText(
        TABLE_CHARACTERS,
        lines=True,
        label="The table",
        widget=forms.Textarea(attrs={"rows": 10, "autocomplete": "off", "spellcheck": "false"}),
    )
    measured_from = forms.ChoiceField(label="Measured from", required=False, help_text=COUNTED)
    length_unit = forms.ChoiceField(
        label="Distances in", choices=LengthUnit.choices, widget=forms.RadioSelect, error_messages=NEEDED
    )
    reason = PlainText(LONGEST_REASON, label="Why it changes", required=False)
    seen = forms.CharField(required=False, max_length=64, widget=forms.HiddenInput)

    def __init__(self, tees: Iterable[Tee], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.tees = {str(tee.pk): tee for tee in tees}
        field = self.fields["measured_from"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [*((key, str(tee)) for key, tee in self.tees.items()), ("", "no tee: they serve every tee")]

    @property
    def tee(self) -> Tee | None:
        return self.tees.get(self.cleaned_data["measured_from"])

    @property
    def seal(self) -> str:
        return seal_of(*(self.cleaned_data[name] for name in ("table", "measured_from", "length_unit")))

    @property
    def was_read(self) -> bool:
        return bool(self.cleaned_data["seen"] == self.seal)

    def ask(self) -> None:
        """What is shown now is what may be stored next."""
        self.data = {**dict(self.data.items()), "seen": self.seal}


def seal_of(table: str, measured_from: str, length_unit: str) -> str:
    return hashlib.sha256(repr((table, measured_from, length_unit)).encode()).hexdigest()
