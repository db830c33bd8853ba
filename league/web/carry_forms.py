"""Forms of the carry book: the book, a club, a shot, a list of shots, the day."""

from decimal import Decimal
from typing import Any

from django import forms

from league.estimates.conditions import ALTITUDES, TEMPERATURES
from league.exchange.cells import CellFault
from league.exchange.shots_csv import off_line_of, whole
from league.models import LengthUnit
from league.models.carries import ClubKind, Curve
from league.services.carries import FARTHEST_CURVE, FARTHEST_OFF_LINE, LONGEST_CARRY, LONGEST_SPREAD, ClubFacts
from league.web.course_forms import WholeNumber, day_field
from league.web.forms import KeyedForm, PlainText, SeenForm
from league.web.list_forms import ListForm

NOTES = {
    "from_rough": "From rough",
    "from_bare": "From bare ground",
    "ball_above": "Ball above the feet",
    "ball_below": "Ball below the feet",
}
WINDS = [("", "none"), ("light", "light"), ("moderate", "moderate"), ("strong", "strong")]
WIND_FROM = [("", "nowhere"), ("ahead", "ahead"), ("behind", "behind"), ("left", "the left"), ("right", "the right")]
GROUNDS = [("", "as usual"), ("soft", "soft"), ("hard", "hard")]
HIGHEST_RISE = 100
FIELD_OF_RULE = {"wide_tenths": "wide", "loft_tenths": "loft"}


class OneDecimal(forms.DecimalField):
    """Degrees, kept as tenths; the decimal comma of many phones is taken as a point."""

    def __init__(self, low: str, high: str, **options: Any) -> None:
        widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off", "maxlength": 5})
        told = f"Enter {low} to {high}, with one decimal at most."
        kinds = ("invalid", "max_decimal_places", "max_digits", "max_whole_digits", "min_value", "max_value")
        super().__init__(
            min_value=Decimal(low),
            max_value=Decimal(high),
            max_digits=3,
            decimal_places=1,
            widget=widget,
            required=False,
            error_messages=dict.fromkeys(kinds, told),
            **options,
        )

    def to_python(self, value: Any) -> Any:
        typed = value.strip().replace(",", ".") if isinstance(value, str) else value
        return super().to_python(typed)


class OffLine(forms.CharField):
    """12 or 12 R for right, -12 or 12 L for left, as in a list of shots."""

    def __init__(self, **options: Any) -> None:
        widget = forms.TextInput(attrs={"autocomplete": "off", "maxlength": 10})
        super().__init__(required=False, max_length=10, widget=widget, **options)

    def clean(self, value: Any) -> Any:
        text = str(super().clean(value) or "").strip()
        if not text:
            return None
        try:
            off_line = whole(off_line_of(text))
        except CellFault as fault:
            raise forms.ValidationError(fault.message) from None
        if abs(off_line) > FARTHEST_OFF_LINE:
            raise forms.ValidationError(f"Enter at most {FARTHEST_OFF_LINE} to either side.")
        return off_line


class BookForm(SeenForm):
    liked_distance = WholeNumber(
        1, LONGEST_CARRY, label="You like to leave", required=False, help_text="To the flag, for a full shot."
    )
    from_rough = PlainText(120, label=NOTES["from_rough"], required=False)
    from_bare = PlainText(120, label=NOTES["from_bare"], required=False)
    ball_above = PlainText(120, label=NOTES["ball_above"], required=False)
    ball_below = PlainText(120, label=NOTES["ball_below"], required=False)


class ClubForm(SeenForm):
    name = PlainText(30, label="Club", help_text="Such as 7 iron.")
    kind = forms.ChoiceField(label="Kind", choices=ClubKind.choices, initial=ClubKind.IRON)
    carry = WholeNumber(
        1,
        LONGEST_CARRY,
        label="Usual carry",
        required=False,
        help_text="In the air, not your best. Empty: measured shots only.",
    )
    long_spread = WholeNumber(
        1,
        LONGEST_SPREAD,
        label="Spread in length",
        required=False,
        help_text="Two shots in three come down so near to the carry. Empty: the figure for your level.",
    )
    wide = OneDecimal(
        "0.1",
        "30",
        label="Spread in direction, degrees",
        help_text="Two shots in three lie so near to the usual line. Empty: the figure for your level.",
    )
    curve = forms.ChoiceField(label="It curves", choices=Curve.choices, required=False, widget=forms.RadioSelect)
    curve_by = WholeNumber(
        1, FARTHEST_CURVE, label="By how much", required=False, help_text="Where it lands, off its starting line."
    )
    loft = OneDecimal("1", "70", label="Loft, degrees")
    is_carried = forms.BooleanField(label="In the bag", required=False, initial=True)

    def field_of(self, path: str) -> str:
        return FIELD_OF_RULE.get(path, path)

    @property
    def facts(self) -> ClubFacts:
        entered = self.cleaned_data
        return ClubFacts(
            name=entered["name"],
            kind=entered["kind"],
            loft_tenths=_tenths(entered["loft"]),
            carry=entered["carry"],
            long_spread=entered["long_spread"],
            wide_tenths=_tenths(entered["wide"]),
            curve=entered["curve"],
            curve_by=entered["curve_by"],
            is_carried=entered["is_carried"],
        )


class ShotForm(KeyedForm):
    carry = WholeNumber(1, LONGEST_CARRY, label="Carry")
    off_line = OffLine(label="Off the line", help_text="12 R or 12 L; or 12 and -12.")
    hit_on = day_field("Day")

    def field_of(self, path: str) -> str:
        """The rules number the shots: `shots.0.carry`."""
        return path.rpartition(".")[2]


class StarterForm(KeyedForm):
    drive = WholeNumber(
        50,
        LONGEST_CARRY,
        label="Your usual drive",
        required=False,
        help_text="Roll included. Empty: the mean for your index.",
    )


class ShotsForm(ListForm):
    file_help = "CSV, up to 2 MiB and 5,000 shots."
    text_help = "The headings first: club, carry; and if you have them off line, date, unit."

    length_unit = forms.ChoiceField(
        label="Distances in it are", choices=LengthUnit.choices, widget=forms.RadioSelect, required=False
    )


class DayForm(forms.Form):
    """What the day is like. Everything may stay empty."""

    distance = WholeNumber(1, 999, label="A shot of", required=False)
    temperature = WholeNumber(*TEMPERATURES, label="Temperature, °C", required=False)
    wind = forms.ChoiceField(label="Wind", choices=WINDS, required=False)
    wind_from = forms.ChoiceField(label="It comes from", choices=WIND_FROM, required=False)
    ground = forms.ChoiceField(label="Ground", choices=GROUNDS, required=False)
    rise = WholeNumber(
        -HIGHEST_RISE,
        HIGHEST_RISE,
        label="The target lies higher by",
        required=False,
        help_text="-5 where it lies lower.",
    )
    altitude = WholeNumber(
        *ALTITUDES,
        label="Metres above home",
        required=False,
        help_text="Above where your carries come from; -200 below.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("temperature", "rise", "altitude"):
            # The number keys of a phone have no minus.
            self.fields[name].widget.attrs["inputmode"] = "text"

    def clean(self) -> None:
        super().clean()
        wind, wind_from = self.cleaned_data.get("wind"), self.cleaned_data.get("wind_from")
        if wind and wind_from == "":
            self.add_error("wind_from", "Say where the wind comes from, seen along the shot.")
        elif wind_from and wind == "":
            self.add_error("wind", "Say how strong the wind is.")


def _tenths(value: Decimal | None) -> int | None:
    return None if value is None else int(value * 10)
