"""A list that comes as a file or is pasted: one form of both, read once to look at and once more to store."""

from collections.abc import Iterable
from typing import Any, ClassVar

from django import forms

from league.exchange.problems import TOO_BIG, WRONG_KIND, Problem
from league.web.forms import KeyedForm

ANSWERS = {"yes": True, "no": False}
DAY_FIRST = (("yes", "the day first: 03/04/2026 is 3 April"), ("no", "the month first: 03/04/2026 is 4 March"))


class RawText(forms.CharField):
    """Text to the letter; the reader of the file says what is wrong with it."""

    def __init__(self, **options: Any) -> None:
        super().__init__(strip=False, **options)
        self.validators = []

    def to_python(self, value: Any) -> str:
        """Browsers send every line end as two characters, which would make a file longer than it was."""
        return str(value or "").replace("\r\n", "\n")


class ListForm(KeyedForm):
    """`text` is what was pasted, or the text of the file again: nothing is chosen twice.

    `whole` stands last on the page: where it is missing, the sending broke off and the file may be cut.
    """

    pieces: ClassVar[str] = "lines"
    """What the list consists of, as its readers say."""
    file_help: ClassVar[str] = ""
    text_help: ClassVar[str] = "The headings first."

    file = forms.FileField(
        label="File",
        required=False,
        allow_empty_file=True,
        widget=forms.FileInput(attrs={"accept": ".csv,.tsv,.txt,text/csv"}),
    )
    text = RawText(
        required=False, widget=forms.Textarea(attrs={"rows": 6, "spellcheck": "false", "autocomplete": "off"})
    )
    day_first = forms.ChoiceField(
        label="Dates are written with", choices=DAY_FIRST, required=False, widget=forms.RadioSelect
    )
    whole = forms.CharField(required=False, initial="yes", widget=forms.HiddenInput)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["file"].help_text = self.file_help
        self.fields["text"].label = f"Or paste the {self.pieces} here"
        self.fields["text"].help_text = self.text_help

    def clean(self) -> None:
        super().clean()
        file, text = self.cleaned_data.get("file"), self.cleaned_data.get("text") or ""
        if self.cleaned_data.get("whole") != "yes":
            self.add_error("file", "This did not arrive whole. Send it again.")
        elif file is None and not text.strip():
            self.add_error("file", f"Choose a file, or paste its {self.pieces}.")
        elif file is not None and text.strip():
            self.add_error("file", f"A file and pasted {self.pieces} came together. Send one of them.")
        elif "\ufffd" in text:
            said = f"A character was damaged on the way: it shows as \ufffd. Paste the {self.pieces} again."
            self.add_error("text", said)

    @property
    def data_sent(self) -> bytes:
        file = self.cleaned_data["file"]
        if file is None:
            return str(self.cleaned_data["text"]).encode("utf-8", "surrogatepass")
        data: bytes = file.read()
        return data

    def answer(self, name: str) -> bool | None:
        return ANSWERS.get(self.cleaned_data[name])

    def keep(self, text: str) -> None:
        """The next sending needs no file."""
        self.data = {name: self.data.get(name) for name in self.data} | {"text": text}


def refused_status(problems: Iterable[Problem]) -> int:
    """415 for what is no table, 413 for what is too big, 400 for everything else that needs a look."""
    codes = {problem.code for problem in problems}
    return 415 if codes & WRONG_KIND else 413 if codes & TOO_BIG else 400
