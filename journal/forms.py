"""Forms of the journal. Under 18, without a guardian's yes, every text is chosen from the library."""

from collections.abc import Callable, Sequence
from typing import Any

from django import forms
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from journal import library
from journal.models import Cause, Kept
from league.models import Player, Tee
from league.rules.errors import RuleBroken
from league.web.forms import KeyedForm, NullFree, PlainText, SeenForm, email_field

WORDS, LONG_WORDS, SENTENCE, SEARCH = 300, 600, 200, 100


class Suggesting(forms.TextInput):
    """A line to write on, with sentences to choose from; a browser without lists shows the line alone."""

    def __init__(self, offered: Sequence[str], **options: Any) -> None:
        super().__init__(**options)
        self.offered = offered

    def render(self, name: str, value: Any, attrs: Any = None, renderer: Any = None) -> SafeString:
        known = {**(attrs or {}), "list": f"offered-{name}", "autocomplete": "off"}
        options = format_html_join("", '<option value="{}"></option>', ((one,) for one in self.offered))
        line = super().render(name, value, known, renderer)
        return format_html('{}<datalist id="offered-{}">{}</datalist>', line, name, options)


def words_field(name: str, free: bool, label: str, help_text: str = "", characters: int = WORDS) -> forms.Field:
    offered = library.FIXED[name]
    if free:
        widget = Suggesting(offered)
        return PlainText(characters, label=label, help_text=help_text, required=False, widget=widget)
    choices = [("", "–"), *((one, one) for one in offered)]
    return forms.ChoiceField(label=label, choices=choices, required=False, help_text=help_text)


def kept_words(form: forms.Form, name: str, stored: str) -> None:
    """What was written before the box “under 18” was set stays a choice."""
    field = form.fields[name]
    if stored and isinstance(field, forms.ChoiceField) and stored not in library.FIXED[name]:
        field.choices = [*field.choices, (stored, stored)]  # type: ignore[misc]


class IntentionForm(SeenForm):
    def __init__(self, free: bool, tees: Sequence[Tee], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        stored = kwargs.get("initial") or {}
        ready = [(one.key, f"{one.when} {one.then}") for one in library.INTENTIONS]
        self.fields["played_on"] = forms.DateField(
            label="Day of the round", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
        )
        self.fields["tee"] = _tee_field(tees)
        self.fields["range_words"] = words_field(
            "range_words", free, "The range, taken or put in your own words", "Empty is taken as well."
        )
        self.fields["goal"] = words_field("goal", free, "One aim of how to play", "Not a score: something you do.")
        self.fields["ready"] = forms.ChoiceField(
            label="One if-then sentence", choices=[("", "my own, or none"), *ready], required=False
        )
        if free:
            self.fields["when"] = PlainText(WORDS, label="If …", required=False)
            self.fields["then"] = PlainText(WORDS, label="… then …", required=False)
        for name in ("range_words", "goal"):
            kept_words(self, name, stored.get(name, ""))

    def clean(self) -> None:
        super().clean()
        chosen = next((one for one in library.INTENTIONS if one.key == self.cleaned_data.get("ready")), None)
        if chosen is None:
            return
        if self.cleaned_data.get("when") or self.cleaned_data.get("then"):
            self.add_error("ready", "Keep one of the two: this sentence, or your own words below it.")
        self.cleaned_data |= {"when": chosen.when, "then": chosen.then}

    @property
    def changes(self) -> dict[str, Any]:
        names = ("played_on", "tee", "range_words", "goal", "when", "then")
        return {name: self.cleaned_data[name] for name in names if name in self.cleaned_data}


class _TeeChoice(forms.ModelChoiceField):
    def label_from_instance(self, obj: Any) -> str:
        return f"{obj.course}, {obj}"


def _tee_field(tees: Sequence[Tee]) -> forms.Field:
    known = Tee.objects.filter(pk__in=[tee.pk for tee in tees]).select_related("course")
    return _TeeChoice(label="Tee", queryset=known, required=False, empty_label="not known yet")


class LookBackForm(SeenForm):
    def __init__(self, free: bool, holes: Sequence[tuple[int, str]], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        stored = kwargs.get("initial") or {}
        self.fields["worst_hole"] = forms.TypedChoiceField(
            label="The hole that cost most",
            choices=[("", "not said"), *holes],
            coerce=int,
            empty_value=None,
            required=False,
        )
        self.fields["cause"] = _one_of("What it mostly was", Cause.choices)
        self.fields["hole_words"] = words_field("hole_words", free, "In a few words", characters=LONG_WORDS)
        self.fields["plan_kept"] = _one_of("Did you keep to what you meant to do?", Kept.choices)
        self.fields["keep"] = words_field("keep", free, "One thing to keep", characters=LONG_WORDS)
        self.fields["change"] = words_field("change", free, "One thing to change", characters=LONG_WORDS)
        for name in ("hole_words", "keep", "change"):
            kept_words(self, name, stored.get(name, ""))

    @property
    def changes(self) -> dict[str, Any]:
        names = ("worst_hole", "cause", "hole_words", "plan_kept", "keep", "change")
        return {name: self.cleaned_data[name] for name in names}


def _one_of(label: str, choices: Sequence[tuple[str, str]]) -> forms.Field:
    """The empty answer is a choice too, so that one that was given can be taken back."""
    offered = [*choices, ("", "not said")]
    return forms.ChoiceField(label=label, choices=offered, required=False, widget=forms.RadioSelect)


class RoutineForm(SeenForm):
    def __init__(self, free: bool, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["breaths"] = forms.TypedChoiceField(
            label="Slow breaths before it",
            choices=[(count, str(count) if count else "none") for count in range(library.MOST_BREATHS + 1)],
            coerce=int,
        )
        self.fields["sentence"] = words_field(
            "sentence", free, "Your sentence", "Short, and about what comes next.", characters=SENTENCE
        )
        kept_words(self, "sentence", (kwargs.get("initial") or {}).get("sentence", ""))


class MarkForm(KeyedForm):
    client_id = forms.UUIDField(widget=forms.HiddenInput, required=False)
    hole = forms.TypedChoiceField(
        label="After which hole",
        choices=[("", "not said"), *((number, str(number)) for number in range(1, 19))],
        coerce=int,
        empty_value=None,
        required=False,
    )


class SearchForm(forms.Form):
    words = PlainText(SEARCH, label="Find by your own words", required=False)


class ShareForm(KeyedForm):
    """With whom: the whole group as it is now, or those who are ticked."""

    def __init__(self, readers: Sequence[Player], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["readers"] = forms.MultipleChoiceField(
            label="Named members",
            choices=[(str(one.pk), one.name) for one in readers],
            widget=forms.CheckboxSelectMultiple,
            required=False,
        )
        self.fields["to_all"] = forms.BooleanField(
            label="Everybody in the group as it is now",
            required=False,
            help_text="Whoever joins later is not among them.",
        )


class GuardianForm(KeyedForm):
    guardian_email = email_field()
    password = NullFree(label="Your password")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["guardian_email"].label = "E-mail address of your parent or guardian"
        self.fields["guardian_email"].help_text = "Used for this one mail and not kept."


def tried(form: KeyedForm, act: Callable[[], Any]) -> bool:
    """Whether it was done; what the rules forbid stands at its field."""
    try:
        act()
    except RuleBroken as broken:
        form.take(broken)
        return False
    return True
