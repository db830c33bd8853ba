"""The form of a file of past rounds: the file or its text, whose rounds, and the answers to what was asked."""

from collections.abc import Sequence
from typing import Any

from django import forms

from league.web.forms import KeyedForm

ANSWERS = {"yes": True, "no": False}
DAY_FIRST = (("yes", "the day first: 03/04/2026 is 3 April"), ("no", "the month first: 03/04/2026 is 4 March"))
KEEP_TWICE = (("yes", "yes, take each of them"), ("no", "no, take each round once"))
FIELD_OF_QUESTION = {"day_first": "day_first", "row_twice": "keep_twice"}


class RawText(forms.CharField):
    """Text to the letter; the reader of the file says what is wrong with it."""

    def __init__(self, **options: Any) -> None:
        super().__init__(strip=False, **options)
        self.validators = []

    def to_python(self, value: Any) -> str:
        """Browsers send every line end as two characters, which would make a file longer than it was."""
        return str(value or "").replace("\r\n", "\n")


class ImportForm(KeyedForm):
    """`text` is what was pasted, or, beside a question, the text of the file again: nothing is chosen twice.

    `whole` stands last on the page: where it is missing, the sending broke off and the file may be cut.
    """

    whose = forms.ChoiceField(label="Whose rounds", widget=forms.RadioSelect)
    file = forms.FileField(
        label="File",
        required=False,
        allow_empty_file=True,
        help_text="CSV, up to 2 MiB and 5,000 rounds.",
        widget=forms.FileInput(attrs={"accept": ".csv,.tsv,.txt,text/csv"}),
    )
    text = RawText(
        label="Or paste the rows here",
        required=False,
        help_text="The headings first.",
        widget=forms.Textarea(attrs={"rows": 6, "spellcheck": "false", "autocomplete": "off"}),
    )
    day_first = forms.ChoiceField(
        label="Dates are written with", choices=DAY_FIRST, required=False, widget=forms.RadioSelect
    )
    keep_twice = forms.ChoiceField(
        label="Rounds that stand twice were played twice", choices=KEEP_TWICE, required=False, widget=forms.RadioSelect
    )
    whole = forms.CharField(required=False, initial="yes", widget=forms.HiddenInput)

    def __init__(self, choices: Sequence[tuple[str, str]], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["whose"]
        assert isinstance(field, forms.ChoiceField)
        field.choices, field.initial = choices, choices[0][0]
        if len(choices) == 1:
            field.widget = forms.HiddenInput()

    def clean(self) -> None:
        super().clean()
        file, text = self.cleaned_data.get("file"), self.cleaned_data.get("text") or ""
        if self.cleaned_data.get("whole") != "yes":
            self.add_error("file", "This did not arrive whole. Send it again.")
        elif file is None and not text.strip():
            self.add_error("file", "Choose a file, or paste its rows.")
        elif file is not None and text.strip():
            self.add_error("file", "A file and pasted rows came together. Send one of them.")
        elif "\ufffd" in text:
            self.add_error("text", "A character was damaged on the way: it shows as \ufffd. Paste the rows again.")

    @property
    def data_sent(self) -> bytes:
        file = self.cleaned_data["file"]
        if file is None:
            return str(self.cleaned_data["text"]).encode("utf-8", "surrogatepass")
        data: bytes = file.read()
        return data

    def answer(self, name: str) -> bool | None:
        return ANSWERS.get(self.cleaned_data[name])

    def ask(self, asked: Sequence[str], text: str) -> None:
        """Show the form again with these questions open; what was answered before stays answered, out of sight."""
        self.data = {name: self.data.get(name) for name in self.data} | {"text": text}
        for name in FIELD_OF_QUESTION.values():
            if name not in asked:
                self.fields[name].widget = forms.HiddenInput()
