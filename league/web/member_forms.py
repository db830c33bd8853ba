"""The forms of groups and of the people in them."""

from typing import Any

from django import forms

from league.models import Player, Role
from league.web.forms import (
    NAME_CHARACTERS,
    REASON_CHARACTERS,
    KeyedForm,
    PlainText,
    SeenForm,
    name_field,
    rated_for_field,
    under_18_field,
    zone_field,
)


class GroupForm(KeyedForm):
    name = PlainText(NAME_CHARACTERS, label="Name of the group")
    time_zone = zone_field()


class GroupChangeForm(GroupForm, SeenForm):
    """Name and time zone, against the version that was looked at."""


class InvitationForm(KeyedForm):
    role = forms.ChoiceField(
        label="Whoever comes in may",
        choices=[(Role.PLAYER, "play"), (Role.SCORER, "play, and count for others as a scorer")],
        initial=Role.PLAYER,
        widget=forms.RadioSelect,
    )
    label = PlainText(
        NAME_CHARACTERS, label="For whom", required=False, help_text="Only you and the other organisers see it."
    )
    uses = forms.IntegerField(
        label="How many people", min_value=1, max_value=60, initial=1, help_text="1 to 60. One link for all is fine."
    )
    days = forms.IntegerField(label="Open for how many days", min_value=1, max_value=60, initial=14)
    is_under_18 = forms.BooleanField(label="It is for somebody under 18", required=False)

    def clean_label(self) -> str:
        return self.cleaned_data["label"] or ""


class PersonForm(KeyedForm):
    """Somebody without an account."""

    name = name_field("Name", "As the others know them.")
    role = forms.ChoiceField(
        label="They are",
        choices=[
            (Role.PLAYER, "a player who has no account yet"),
            (Role.GUEST, "a guest, now and then"),
        ],
        initial=Role.PLAYER,
        widget=forms.RadioSelect,
    )
    rated_for = rated_for_field()
    is_under_18 = under_18_field("They are")


class KeptForm(forms.Form):
    """What the keeper of somebody without an account may change."""

    name = name_field("Name", "As the others know them.")
    rated_for = rated_for_field()
    is_under_18 = under_18_field("They are")

    def __init__(self, player: Player, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if player.is_under_18:
            del self.fields["is_under_18"]


class RoleForm(forms.Form):
    version = forms.IntegerField(widget=forms.HiddenInput)
    role = forms.ChoiceField(label="They may", widget=forms.RadioSelect)

    def __init__(self, player: Player, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["role"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = ACCOUNT_ROLES if player.account_id else KEPT_ROLES


ACCOUNT_ROLES = [
    (Role.PLAYER, "play"),
    (Role.SCORER, "play, and count for others as a scorer"),
    (Role.ORGANISER, "organise the group, and play"),
]


KEPT_ROLES = [(Role.PLAYER, "play"), (Role.GUEST, "come as a guest")]


class ReasonForm(forms.Form):
    reason = PlainText(
        REASON_CHARACTERS,
        lines=True,
        label="Why",
        help_text="The person reads it, and it stands in the group's record.",
    )
