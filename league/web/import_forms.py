"""The form of a file of past rounds: the file or its text, whose rounds, and the answers to what was asked."""

from collections.abc import Sequence
from typing import Any

from django import forms

from league.web.list_forms import ListForm

KEEP_TWICE = (("yes", "yes, take each of them"), ("no", "no, take each round once"))
FIELD_OF_QUESTION = {"day_first": "day_first", "row_twice": "keep_twice"}


class ImportForm(ListForm):
    pieces = "rows"
    file_help = "CSV, up to 2 MiB and 5,000 rounds."

    whose = forms.ChoiceField(label="Whose rounds", widget=forms.RadioSelect)
    keep_twice = forms.ChoiceField(
        label="Rounds that stand twice were played twice", choices=KEEP_TWICE, required=False, widget=forms.RadioSelect
    )

    def __init__(self, choices: Sequence[tuple[str, str]], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["whose"]
        assert isinstance(field, forms.ChoiceField)
        field.choices, field.initial = choices, choices[0][0]
        if len(choices) == 1:
            field.widget = forms.HiddenInput()

    def ask(self, asked: Sequence[str], text: str) -> None:
        """Show the form again with these questions open; what was answered before stays answered, out of sight."""
        self.keep(text)
        for name in FIELD_OF_QUESTION.values():
            if name not in asked:
                self.fields[name].widget = forms.HiddenInput()
