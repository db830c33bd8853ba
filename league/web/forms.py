"""Forms of the pages about accounts; the fields and forms that others share; sending a form once."""

import secrets
from collections.abc import Callable, Iterable, Iterator
from functools import cache
from typing import Any
from zoneinfo import available_timezones

from django import forms
from django.contrib.auth.password_validation import validate_password
from django.forms.utils import flatatt
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.utils.crypto import salted_hmac
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString, mark_safe

from league.exchange.text import TextFault, clean_text
from league.models import Account, LengthUnit, RatedFor, Tee, Theme
from league.models.members import fold_email
from league.rules.errors import RuleBroken
from league.services.errors import Refused, Stale
from league.services.once import SentKey, StoredAnswer, run_once

NEEDED = {"required": "This is needed."}
NAME_CHARACTERS = 80
REASON_CHARACTERS = 500
SELECTED = mark_safe(" selected")
CHANGED_MEANWHILE = (
    "This was changed meanwhile. Your entries are still here: look at what stands now, then store again to replace it."
)
UNCHECKED = ("csrfmiddlewaretoken", "key")
KEY_CHARACTERS = frozenset("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789_-")


class PlainText(forms.CharField):
    """A text as every face of the service takes it: in NFC, nothing hidden in it."""

    def __init__(self, characters: int, *, lines: bool = False, **options: Any) -> None:
        self.characters, self.lines = characters, lines
        options.setdefault("error_messages", NEEDED)
        if lines:
            options.setdefault("widget", forms.Textarea(attrs={"rows": 3}))
        super().__init__(strip=False, **options)
        self.widget.attrs.setdefault("maxlength", characters)

    def to_python(self, value: Any) -> str:
        try:
            return clean_text(str(value or ""), self.characters, self.lines) if value else ""
        except TextFault as fault:
            raise forms.ValidationError(fault.message, code=fault.code) from None


class NullFree(forms.CharField):
    """A password is taken to the letter; only what no keyboard sends is refused."""

    def __init__(self, **options: Any) -> None:
        autocomplete = options.pop("autocomplete", "current-password")
        widget = forms.PasswordInput(attrs={"autocomplete": autocomplete})
        super().__init__(strip=False, max_length=200, widget=widget, error_messages=NEEDED, **options)


def name_field(label: str = "Your name", help_text: str = "As the others know you.") -> PlainText:
    widget = forms.TextInput(attrs={"autocomplete": "name"})
    return PlainText(NAME_CHARACTERS, label=label, help_text=help_text, widget=widget)


def email_field() -> forms.EmailField:
    return forms.EmailField(
        label="E-mail address",
        max_length=254,
        error_messages=NEEDED,
        widget=forms.EmailInput(attrs={"autocomplete": "email"}),
    )


def new_password_field(label: str = "Password") -> NullFree:
    return NullFree(
        label=label, autocomplete="new-password", help_text="At least ten characters; a short sentence does well."
    )


def rated_for_field() -> forms.ChoiceField:
    return forms.ChoiceField(
        label="Ratings used",
        choices=RatedFor.choices,
        initial=RatedFor.MEN,
        widget=forms.RadioSelect,
        help_text="Course and slope ratings are made for men and for women; this chooses the one for the cards.",
    )


def unit_field() -> forms.ChoiceField:
    return forms.ChoiceField(
        label="Lengths in", choices=LengthUnit.choices, initial=LengthUnit.YARDS, widget=forms.RadioSelect
    )


def under_18_field(whom: str = "I am") -> forms.BooleanField:
    return forms.BooleanField(
        label=f"{whom} under 18",
        required=False,
        help_text="Organisers see the mark, other members do not. No age or birth date is asked.",
    )


def index_only_field() -> forms.BooleanField:
    return forms.BooleanField(
        label="Show the others my index only, not the lines of my ledger",
        required=False,
        help_text="Organisers keep the lines, since net results rest on them. You can change this later.",
    )


@cache
def zone_choices() -> list[tuple[str, list[tuple[str, str]]]]:
    """Zones by area, as `Europe/London` is written in the zone table."""
    areas: dict[str, list[tuple[str, str]]] = {}
    for zone in sorted(available_timezones()):
        area, _, place = zone.partition("/")
        if place and area not in ("Etc", "SystemV", "US", "posix", "right"):
            areas.setdefault(area, []).append((zone, place.replace("_", " ")))
    return [*areas.items(), ("Everywhere", [("UTC", "UTC")])]


class ZoneSelect(forms.Select):
    """Hundreds of options, joined here: a template for each would take longer than all the rest of the page."""

    def render(self, name: str, value: Any, attrs: dict[str, Any] | None = None, renderer: Any = None) -> SafeString:
        chosen = self.format_value(value)
        around = flatatt(self.build_attrs(self.attrs, {**(attrs or {}), "name": name}))
        return format_html("<select{}>{}</select>", around, self._options(self.choices, chosen))

    def _options(self, choices: Iterable[tuple[Any, Any]], chosen: list[str]) -> SafeString:
        """Of an area its places, each written as `Europe/London`."""
        parts = [
            format_html('<optgroup label="{}">{}</optgroup>', one, self._options(words, chosen))
            if isinstance(words, (list, tuple))
            else format_html('<option value="{}"{}>{}</option>', one, SELECTED if one in chosen else "", words)
            for one, words in choices
        ]
        return format_html_join("\n", "{}", ((part,) for part in parts))


def zone_field() -> forms.ChoiceField:
    return forms.ChoiceField(
        label="Time zone",
        widget=ZoneSelect,
        choices=zone_choices,
        initial="Europe/London",
        help_text="Of the place where you play: it says which day is today.",
    )


class PasswordChecks:
    """Checks a new password against the rules, knowing the address and the name that it must not resemble."""

    def check_password_rules(self, form: forms.Form, field: str, account: Account | None = None) -> None:
        password = form.cleaned_data.get(field)
        if not password:
            return
        owner = account or Account(email=form.cleaned_data.get("email") or "")
        owner.name = form.cleaned_data.get("name") or ""  # type: ignore[attr-defined]
        try:
            validate_password(password, owner)
        except forms.ValidationError as fault:
            form.add_error(field, fault)


class NewAccountForm(forms.Form, PasswordChecks):
    name = name_field()
    email = email_field()
    password = new_password_field()

    def clean_email(self) -> str:
        return fold_email(self.cleaned_data["email"])

    def clean(self) -> None:
        super().clean()
        self.check_password_rules(self, "password")


class SignUpForm(NewAccountForm):
    group_name = PlainText(
        NAME_CHARACTERS,
        label="Name of the group",
        help_text="The people you play with, such as “Lapwing Friday Group”.",
    )
    time_zone = zone_field()


class JoinForm(NewAccountForm):
    rated_for = rated_for_field()
    length_unit = unit_field()
    hides_lines = index_only_field()
    is_under_18 = under_18_field()


class AcceptForm(forms.Form):
    hides_lines = index_only_field()
    is_under_18 = under_18_field()


class SignInForm(forms.Form):
    email = forms.CharField(
        label="E-mail address", max_length=254, widget=forms.EmailInput(attrs={"autocomplete": "username"})
    )
    password = NullFree(label="Password")

    def clean_email(self) -> str:
        return fold_email(self.cleaned_data["email"])


class AskResetForm(forms.Form):
    email = email_field()


class PasswordForm(forms.Form):
    """Asked again before what is hard to take back."""

    password = NullFree(label="Your password")


class NewPasswordForm(forms.Form, PasswordChecks):
    new_password = new_password_field("New password")

    def __init__(self, account: Account, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.account = account

    def clean(self) -> None:
        super().clean()
        self.check_password_rules(self, "new_password", self.account)


class ChangePasswordForm(NewPasswordForm, PasswordForm):
    field_order = ("password", "new_password")


class EmailForm(PasswordForm):
    email = email_field()
    field_order = ("email", "password")


class KeyedForm(forms.Form):
    """A form that makes something: its key lets a double press make it once."""

    key = forms.CharField(required=False, max_length=64, widget=forms.HiddenInput)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["key"].initial = secrets.token_urlsafe(24)

    def take(self, broken: RuleBroken) -> None:
        """Each problem of the rules at its field; what belongs to no field stands above the form."""
        for one in broken.problems:
            name = self.field_of(one.field)
            self.add_error(name if name in self.fields else None, one.message)

    def field_of(self, path: str) -> str:
        """The field of the page for that path of the rules."""
        return path


class SeenForm(KeyedForm):
    """Carries the version that was looked at, so that nobody overwrites what they have not seen."""

    version = forms.IntegerField(required=False, widget=forms.HiddenInput)

    def keep_against(self, stored_version: int) -> None:
        """The entries stay; sent again they replace the version that stands now."""
        kept: Any = self.data.copy()  # type: ignore[attr-defined]
        kept["version"] = str(stored_version)
        self.data = kept

    @property
    def seen_version(self) -> int | None:
        return self.cleaned_data["version"]


class TeeChoice(forms.ModelChoiceField):
    def label_from_instance(self, tee: Any) -> str:
        return f"{tee.course}, {tee}"


class ProfileForm(forms.Form):
    name = name_field()
    length_unit = unit_field()
    rated_for = rated_for_field()
    home_tee = TeeChoice(
        label="Home tee", queryset=Tee.objects.none(), required=False, empty_label="none", help_text="Offered first."
    )
    theme = forms.ChoiceField(label="Light or dark", choices=Theme.choices, required=False, widget=forms.RadioSelect)
    is_under_18 = under_18_field()

    def __init__(self, tees: Any, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["home_tee"]
        assert isinstance(field, TeeChoice)
        field.queryset = tees


class TokenForm(KeyedForm):
    name = PlainText(NAME_CHARACTERS, label="What it is for", help_text="Such as “spreadsheet”.")
    scope = forms.ChoiceField(
        label="It may",
        choices=[("read", "read"), ("write", "read and write"), ("journal", "the journal and nothing else")],
        initial="read",
        widget=forms.RadioSelect,
    )
    days = forms.IntegerField(label="For how many days", min_value=1, max_value=365, initial=90)
    password = NullFree(label="Your password")

    @property
    def scopes(self) -> list[str]:
        return {"write": ["read", "write"]}.get(self.cleaned_data["scope"], [self.cleaned_data["scope"]])


# Sending


def form_shown(request: HttpRequest, template: str, form: forms.Form, status: int = 0, **context: Any) -> HttpResponse:
    """The page with its form: 400 when the entries came back with faults, 409 when they were refused for now."""
    return render(request, template, {"form": form, **context}, status=status or (400 if form.is_bound else 200))


def see_other(url: str) -> HttpResponse:
    response = HttpResponseRedirect(url)
    response.status_code = 303
    return response


def send_once(request: HttpRequest, act: Callable[[], str], also: str = "") -> HttpResponse:
    """Do it, or, when this form came before just as it is, lead to where the first one led.

    `act` answers with an address. The entries are part of the key: a form that was changed and sent again is another.
    Kept is a keyed digest, so nobody who reads the table can try out what may have been typed. `also` stands for what
    came beside the entries, such as the digest of a file.
    """
    key = request.POST.get("key", "")
    if not 16 <= len(key) <= 64 or not KEY_CHARACTERS.issuperset(key) or not isinstance(request.user, Account):
        return see_other(act())
    entered = repr([key, also, *_entries(request)]).encode("utf-8", "replace")
    digest = salted_hmac("league.web.forms", entered, algorithm="sha256").hexdigest()
    sent = SentKey(request.user, "POST", request.path, digest, digest)
    answer, _ = run_once(sent=sent, act=lambda: StoredAnswer(303, act()))
    return see_other(answer.body)


def store_once(
    request: HttpRequest, template: str, form: KeyedForm, act: Callable[[], str], **shown: Any
) -> HttpResponse:
    """Stores once and leads on; or the page again with the entries and what stands in the way."""
    try:
        return send_once(request, act)
    except RuleBroken as broken:
        form.take(broken)
        return form_shown(request, template, form, **shown)
    except Stale as late:
        form.add_error(None, CHANGED_MEANWHILE)
        if isinstance(form, SeenForm):
            form.keep_against(late.stored.version)  # type: ignore[attr-defined]
        return form_shown(request, template, form, 409, **shown)
    except Refused as refused:
        form.add_error(None, refused.message)
        return form_shown(request, template, form, 409, **shown)


def _entries(request: HttpRequest) -> Iterator[tuple[str, list[str]]]:
    for name, values in sorted(request.POST.lists()):
        if name not in UNCHECKED and "password" not in name:
            yield name, [str(value) for value in values]
