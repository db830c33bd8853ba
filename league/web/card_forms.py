"""Forms of a card that is kept by page: opening it, one hole of it, sending it in."""

from typing import Any
from uuid import UUID, uuid4

from django import forms

from league.models import NotPlayedReason, Player, Tee
from league.reports.cards import CardHole, CardTold, LineTold
from league.services.card_marks import Written
from league.services.cards import MOST_PLAYERS
from league.web.forms import KeyedForm

NUMBER = {"inputmode": "numeric", "autocomplete": "off"}


class OpenForm(KeyedForm):
    tee = forms.ModelChoiceField(label="Tee", queryset=Tee.objects.none())
    holes_in_play = forms.ChoiceField(label="Holes")
    played_on = forms.DateField(label="Day at the course", widget=forms.DateInput(attrs={"type": "date"}))
    players = forms.ModelMultipleChoiceField(
        label="Who is on the card",
        queryset=Player.objects.none(),
        widget=forms.CheckboxSelectMultiple,
        help_text=f"One to {MOST_PLAYERS}. What you write for a member counts when that member says yes.",
    )

    def __init__(self, tees: list[Tee], people: Any, holes: list[tuple[str, str]], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        tee, players = self.fields["tee"], self.fields["players"]
        assert isinstance(tee, forms.ModelChoiceField)
        assert isinstance(players, forms.ModelMultipleChoiceField)
        tee.queryset = Tee.objects.filter(pk__in=[one.pk for one in tees]).select_related("course")
        tee.label_from_instance = lambda obj: f"{obj.course}, {obj}"  # type: ignore[method-assign]
        players.queryset = people
        players.label_from_instance = lambda obj: str(obj.name)  # type: ignore[method-assign]
        self.fields["holes_in_play"].choices = holes  # type: ignore[attr-defined]


class HoleForm(KeyedForm):
    """One hole for every open line; `over` is the mark that was shown."""

    def __init__(self, told: CardTold, number: int, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.told, self.number = told, number
        self.lines = [line for line in told.lines if line.is_open]
        for line in self.lines:
            self._add(line, hole_of(line, number))

    def _add(self, line: LineTold, hole: CardHole) -> None:
        place, value = line.row.place, hole.value or {}
        names = [("strokes", "strokes", 1)]
        if line.in_full:
            names += [("putts", "putts", 0), ("penalties", "penalty strokes", 0)]
        for name, words, least in names:
            self.fields[f"{name}_{place}"] = forms.IntegerField(
                label=f"{line.name}: {words}",
                min_value=least,
                max_value=99,
                required=False,
                initial=value.get(name),
                widget=forms.TextInput(attrs=NUMBER),
            )
        self.fields[f"picked_up_{place}"] = forms.BooleanField(
            label=f"{line.name}: picked up", required=False, initial=bool(value.get("picked_up"))
        )
        over = hole.standing.mark if hole.standing else None
        self.fields[f"over_{place}"] = forms.UUIDField(required=False, initial=over, widget=forms.HiddenInput)

    def written(self) -> list[Written]:
        """A mark for each line whose entries differ from what was shown."""
        return [mark for line in self.lines if (mark := self._mark(line)) is not None]

    def _mark(self, line: LineTold) -> Written | None:
        shown, place = hole_of(line, self.number).value or {}, line.row.place
        value = dict(shown)
        for name in ("strokes", "putts", "penalties", "picked_up"):
            if f"{name}_{place}" in self.fields:
                value[name] = self.cleaned_data[f"{name}_{place}"]
        known = {name: fact for name, fact in value.items() if fact is not None and fact is not False}
        if known == {name: fact for name, fact in shown.items() if fact is not False}:
            return None
        over: UUID | None = self.cleaned_data[f"over_{place}"]
        return Written(client_id=uuid4(), line=line.row.pk, number=self.number, over=over, value=known or None)


class SendForm(KeyedForm):
    not_played_reason = forms.ChoiceField(
        label="If holes were not played: why (Rule 3.2)",
        required=False,
        choices=[("", "all were played"), *NotPlayedReason.choices],
    )

    def __init__(self, *args: Any, asks_tee: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if asks_tee:
            label = "The tee was changed since the card was opened. I have looked at it: send the card on it."
            self.fields["tee_seen"] = forms.BooleanField(label=label, required=False)


def hole_of(line: LineTold, number: int) -> CardHole:
    return next(hole for hole in line.holes if hole.number == number)
