"""The form of a round: a card hole by hole, or a total."""

import re
import secrets
from collections.abc import Iterator
from datetime import date
from typing import Any, NamedTuple

from django import forms
from django.db.models import QuerySet
from django.forms import BoundField

from league.models import HolesInPlay, NotPlayedReason, Player, Round, Tee
from league.rules.errors import RuleBroken
from league.rules.scorecard import Hole
from league.services import rounds
from league.services.courses import tee_on
from league.services.imports import COLUMN_OF_HOLE_FIELD
from league.services.rounds import HoleFacts, RoundFacts
from league.web.forms import NAME_CHARACTERS, REASON_CHARACTERS, PlainText

MARK = re.compile(r"([0-9]{1,2})?\s*([xX])?", re.ASCII)
MARK_WORDS = "Enter the strokes, x for picked up, 7x for picked up with 7 most likely, or leave it blank."


class Mark(NamedTuple):
    """What stands on the card for one hole that was started."""

    strokes: int | None
    is_picked_up: bool


class MarkField(forms.CharField):
    """One cell of the card: 5, x, 7x; blank or a dash for a hole not played."""

    def __init__(self, label: str) -> None:
        widget = forms.TextInput(attrs={"inputmode": "text", "maxlength": 4, "autocomplete": "off", "class": "count"})
        super().__init__(label=label, required=False, widget=widget)

    def clean(self, value: Any) -> Mark | None:
        text = super().clean(value).strip()
        if text in ("", "-", "–"):
            return None
        found = MARK.fullmatch(text)
        if found is None:
            raise forms.ValidationError(MARK_WORDS, code="mark")
        return Mark(int(found[1]) if found[1] else None, bool(found[2]))


def count_field(label: str, most: int = 99) -> forms.IntegerField:
    attrs = {"inputmode": "numeric", "autocomplete": "off", "class": "count"}
    return forms.IntegerField(
        label=label, required=False, min_value=0, max_value=most, widget=forms.TextInput(attrs=attrs)
    )


class CardRow(NamedTuple):
    """One hole of the card beside its fields."""

    hole: Hole
    length: int | None
    strokes: BoundField
    putts: BoundField
    penalties: BoundField


class MoreRow(NamedTuple):
    """The optional facts of one hole."""

    number: int
    long_putt: BoundField
    from_60: BoundField
    recovery: BoundField


class RoundForm(forms.Form):
    """Fields for the holes of one tee in play, or for a total. The tee and the holes in play are chosen before."""

    key = forms.CharField(required=False, max_length=64, widget=forms.HiddenInput)
    played_on = forms.DateField(
        label="Played on", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"), input_formats=["%Y-%m-%d"]
    )
    order_in_day = forms.IntegerField(
        label="Which round of that day",
        required=False,
        min_value=1,
        max_value=9,
        help_text="Blank: after those already stored.",
    )
    playing_conditions = forms.TypedChoiceField(
        label="Playing conditions value",
        choices=[("0", "0, or none published"), ("-1", "−1, easier"), ("1", "1, harder"), ("2", "2"), ("3", "3")],
        coerce=int,
        initial="0",
        required=False,
        empty_value="0",
    )
    playing_conditions_from = PlainText(
        120, label="Published by", required=False, help_text="Needed with a value. None is ever worked out here."
    )
    not_played_reason = forms.ChoiceField(
        label="Why holes were not played",
        choices=[("", "all were played"), *NotPlayedReason.choices],
        required=False,
        help_text="For ten to seventeen holes (Rule 3.2).",
    )
    marker = forms.ModelChoiceField(
        label="Marker", queryset=Player.objects.none(), required=False, empty_label="somebody else, or nobody"
    )
    marker_name = PlainText(NAME_CHARACTERS, label="Marker, if not in the group", required=False)
    note = PlainText(REASON_CHARACTERS, lines=True, label="Note on the card", required=False)
    noted = forms.BooleanField(label="I noted them on every hole: an empty box means no", required=False)
    confirmed = forms.BooleanField(label="It is right; store it all the same", required=False)

    def __init__(
        self,
        *args: Any,
        player: Player,
        tee: Tee,
        holes_in_play: str,
        by_total: bool,
        mates: QuerySet[Player],
        stored: Round | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.player, self.tee, self.stored = player, tee, stored
        self.holes_in_play, self.by_total = holes_in_play, by_total
        self.rated = tee.in_play(holes_in_play)
        self.fields["key"].initial = secrets.token_urlsafe(24)
        marker = self.fields["marker"]
        assert isinstance(marker, forms.ModelChoiceField)
        marker.queryset = mates.exclude(pk=player.pk)
        if self.rated.n_holes == 9:
            del self.fields["not_played_reason"]
        if by_total:
            self.fields["gross"] = count_field("Gross score", 450)
            self.fields["adjusted_gross"] = count_field("Adjusted gross score", 450)
            self.fields["adjusted_gross"].help_text = "If somebody worked it out. Blank: the gross counts as it is."
        else:
            for hole in self.rated.holes:
                self.fields[f"h{hole.number}"] = MarkField(f"Hole {hole.number}")
                self.fields[f"putts{hole.number}"] = count_field(f"Hole {hole.number}, putts", 25)
                self.fields[f"penalties{hole.number}"] = count_field(f"Hole {hole.number}, penalty strokes", 25)
                for name, words in (("longputt", "first putt from beyond 20 feet"), ("recovery", "a recovery shot")):
                    label = f"Hole {hole.number}, {words}"
                    self.fields[f"{name}{hole.number}"] = forms.BooleanField(label=label, required=False)
                self.fields[f"shortgame{hole.number}"] = count_field(
                    f"Hole {hole.number}, strokes from inside 60 yards", 25
                )

    def card_rows(self) -> Iterator[CardRow]:
        lengths = {hole.number: hole.length for hole in self.tee.holes.all()}
        for hole in self.rated.holes:
            yield CardRow(
                hole,
                lengths.get((hole.number - 1) % len(lengths) + 1),
                self[f"h{hole.number}"],
                self[f"putts{hole.number}"],
                self[f"penalties{hole.number}"],
            )

    def more_rows(self) -> Iterator[MoreRow]:
        for hole in self.rated.holes:
            number = hole.number
            yield MoreRow(number, self[f"longputt{number}"], self[f"shortgame{number}"], self[f"recovery{number}"])

    @property
    def shows_more(self) -> bool:
        """Whether the optional facts are open: something stands there, or is wrong."""
        rows = list(self.more_rows())
        return any(row.from_60.errors or field.value() for row in rows for field in row[1:])

    def clean(self) -> None:
        super().clean()
        if self.errors:
            return
        try:
            self.facts = self._facts()
        except RuleBroken as broken:
            self._add(broken.problems)
            return
        self._add(rounds.facts_problems(self.player, self.facts, rounds.today_at(self.tee, self.player)))

    def _facts(self) -> RoundFacts:
        """The tee version is the one whose ratings covered the day."""
        entered = self.cleaned_data
        played_on: date = entered["played_on"]
        tee = tee_on(self.tee, played_on)
        if tee is None:
            raise RuleBroken("tee_not_valid", "No rating of this tee covers that day.", "played_on")
        return RoundFacts(
            tee=tee,
            played_on=played_on,
            holes_in_play=self.holes_in_play,
            order_in_day=entered["order_in_day"],
            holes=() if self.by_total else tuple(self._hole_facts()),
            gross=entered.get("gross"),
            adjusted_gross=entered.get("adjusted_gross"),
            playing_conditions=int(entered["playing_conditions"]),
            playing_conditions_from=entered["playing_conditions_from"],
            not_played_reason=entered.get("not_played_reason", ""),
            marker=entered["marker"],
            marker_name=entered["marker_name"],
            note=entered["note"],
            ref=self.stored.ref if self.stored else "",
        )

    def _hole_facts(self) -> Iterator[HoleFacts]:
        for hole in self.rated.holes:
            mark: Mark | None = self.cleaned_data[f"h{hole.number}"]
            if mark is not None:
                yield HoleFacts(
                    number=hole.number,
                    strokes=mark.strokes,
                    is_picked_up=mark.is_picked_up,
                    putts=self.cleaned_data[f"putts{hole.number}"],
                    penalties=self.cleaned_data[f"penalties{hole.number}"],
                    first_putt_is_long=self._ticked(f"longputt{hole.number}"),
                    strokes_from_60=self.cleaned_data[f"shortgame{hole.number}"],
                    had_recovery=self._ticked(f"recovery{hole.number}"),
                )

    def _ticked(self, name: str) -> bool | None:
        """An empty box says no only where somebody says so; else it is not known."""
        return self.cleaned_data[name] or (False if self.cleaned_data["noted"] else None)

    def _add(self, problems: Any) -> None:
        for problem in problems:
            self.add_error(self._field_of(problem.field), forms.ValidationError(problem.message, code=problem.code))

    def _field_of(self, name: str) -> str | None:
        first, _, rest = name.partition(".")
        number, _, last = rest.partition(".")
        if first == "holes" and number:
            name = COLUMN_OF_HOLE_FIELD.get(last, "h") + number
        return name if name in self.fields else None


def initial_of(stored: Round) -> dict[str, Any]:
    """A stored round as the form shows it for correction. An adjusted gross that is the gross was not given."""
    adjusted = None if stored.adjusted_gross == stored.gross else stored.adjusted_gross
    initial: dict[str, Any] = {
        "played_on": stored.played_on,
        "order_in_day": stored.order_in_day,
        "playing_conditions": stored.playing_conditions,
        "playing_conditions_from": stored.playing_conditions_from,
        "not_played_reason": stored.not_played_reason,
        "marker": stored.marker_id,
        "marker_name": stored.marker_name,
        "note": stored.note,
        "gross": stored.gross,
        "adjusted_gross": adjusted,
    }
    for score in stored.hole_scores.all():
        mark = "" if score.strokes is None else str(score.strokes)
        initial[f"h{score.number}"] = mark + ("x" if score.is_picked_up else "")
        initial[f"putts{score.number}"] = score.putts
        initial[f"penalties{score.number}"] = score.penalties
        initial[f"longputt{score.number}"] = score.first_putt_is_long
        initial[f"shortgame{score.number}"] = score.strokes_from_60
        initial[f"recovery{score.number}"] = score.had_recovery
        if False in (score.first_putt_is_long, score.had_recovery):
            initial["noted"] = True
    return initial


class CorrectionForm(RoundForm):
    version = forms.IntegerField(widget=forms.HiddenInput)
    reason = PlainText(
        REASON_CHARACTERS, label="Why the card changes", required=False, help_text="Stands in the ledger."
    )


class WithdrawForm(forms.Form):
    version = forms.IntegerField(widget=forms.HiddenInput)
    reason = PlainText(REASON_CHARACTERS, label="Why", help_text="Stands in the ledger.")


class AttestForm(forms.Form):
    version = forms.IntegerField(widget=forms.HiddenInput)
    on_paper = forms.BooleanField(label="Checked on a paper card", required=False)


HOLES_WORDS = dict(HolesInPlay.choices)
