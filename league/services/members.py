"""Groups and who belongs to them: founding, inviting, joining, roles, removing."""

import secrets
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.db import transaction
from django.db.models import F
from django.utils import timezone

from league.models import (
    Account,
    AuditEntry,
    Barrier,
    CardEvent,
    Group,
    Invitation,
    LengthUnit,
    Membership,
    Player,
    RatedFor,
)
from league.models.members import Role, hash_of
from league.services.accounts import open_account
from league.services.audit import note_action
from league.services.errors import Refused, Stale
from league.services.outlooks import make_due

INVITED_ROLES = (Role.PLAYER, Role.SCORER)
"""A link never makes an organiser."""


def _day_in(time_zone: str, now: datetime) -> date:
    return now.astimezone(ZoneInfo(time_zone)).date()


def _locked(group: Group) -> Group:
    """The group's row is held first: two organisers stepping down at once must not both find the other."""
    return Group.objects.select_for_update().get(pk=group.pk)


def _refuse_stale(now: Group | Membership | Player, seen: Group | Membership | Player) -> None:
    """`seen` is the row that the caller looked at; in between somebody else may have stored a newer one."""
    if now.version != seen.version:
        raise Stale(now)


# Founding


@transaction.atomic
def sign_up_organiser(*, name: str, email: str, password: str, group_name: str, time_zone: str) -> Account:
    """Account, player, group and the organiser's place in it, all or nothing."""
    account = open_account(email=email, password=password)
    player = Player.objects.create(account=account, name=name, joined_on=_day_in(time_zone, timezone.now()))
    found_group(player=player, name=group_name, time_zone=time_zone)
    return account


@transaction.atomic
def found_group(*, player: Player, name: str, time_zone: str) -> Membership:
    now = timezone.now()
    group = Group.objects.create(name=name, time_zone=time_zone, created_at=now)
    note_action(action="group_founded", actor=player, group=group, after={"name": name, "time_zone": time_zone})
    return Membership.objects.create(group=group, player=player, role=Role.ORGANISER, joined_at=now)


@transaction.atomic
def change_group(*, group: Group, actor: Player, changes: dict[str, Any]) -> Group:
    """`changes` may hold `name` and `time_zone`."""
    seen, group = group, _locked(group)
    _refuse_stale(group, seen)
    before = {field: getattr(group, field) for field in changes}
    for field, value in changes.items():
        setattr(group, field, value)
    group.version += 1
    group.save(update_fields=[*changes, "version"])
    note_action(action="group_changed", actor=actor, group=group, before=before, after=changes)
    return group


# Inviting


@transaction.atomic
def make_invitation(
    *,
    group: Group,
    actor: Player,
    role: str = Role.PLAYER,
    label: str = "",
    uses: int = 1,
    days: int = 14,
    guest: Player | None = None,
    is_under_18: bool = False,
) -> tuple[Invitation, str]:
    """The row and the link's value, which is not kept. With `guest` the link hands that guest's cards over, once."""
    _refuse_resting(group)
    if guest is not None and guest.account_id is not None:
        raise Refused("has_account", "This player signs in already; there is nothing to hand over.")
    value = secrets.token_urlsafe(32)
    now = timezone.now()
    invitation = Invitation.objects.create(
        group=group,
        invited_by=actor,
        token_hash=hash_of(value),
        role=role,
        label=label,
        guest=guest,
        is_under_18=is_under_18,
        uses_left=1 if guest else uses,
        created_at=now,
        ends_at=now + timedelta(days=days),
    )
    after = {"role": role, "uses": invitation.uses_left, "days": days}
    note_action(action="invited", actor=actor, group=group, about=guest, after=after)
    return invitation, value


@transaction.atomic
def withdraw_invitation(*, invitation: Invitation, actor: Player) -> None:
    invitation.withdrawn_at = timezone.now()
    invitation.save(update_fields=["withdrawn_at"])
    note_action(action="invitation_withdrawn", actor=actor, group=invitation.group, about=invitation.guest)


def _use(invitation: Invitation, now: datetime) -> None:
    """Two people on the last use of a link: one of them comes too late."""
    open_ones = Invitation.objects.filter(pk=invitation.pk, withdrawn_at=None, ends_at__gt=now, uses_left__gt=0)
    if not open_ones.filter(group__rests_since=None).update(uses_left=F("uses_left") - 1):
        raise Refused("invitation_over", "This invitation has just been used up or withdrawn. Ask for a new one.")


@transaction.atomic
def join_as_new(
    *,
    invitation: Invitation,
    name: str,
    email: str,
    password: str,
    rated_for: str = RatedFor.MEN,
    length_unit: str = LengthUnit.YARDS,
    hides_lines: bool = False,
    is_under_18: bool = False,
) -> Account:
    """A new person comes in by a link; with a claim link they become the player whose cards are there."""
    now = timezone.now()
    _use(invitation, now)
    account = open_account(email=email, password=password)
    if invitation.guest:
        player = _unclaimed(invitation.guest)
        player.version += 1
    else:
        player = Player(joined_on=_day_in(invitation.group.time_zone, now))
    player.account, player.name = account, name
    player.rated_for, player.length_unit = rated_for, length_unit
    player.is_under_18 = player.is_under_18 or is_under_18 or invitation.is_under_18
    player.save()
    _take_place(invitation, player, hides_lines, now)
    return account


@transaction.atomic
def accept_invitation(
    *, invitation: Invitation, player: Player, hides_lines: bool = False, is_under_18: bool = False
) -> Player:
    """Somebody with an account comes in. Joining twice changes nothing and uses nothing up."""
    group = _locked(invitation.group)
    if Membership.objects.filter(group=group, player=player, left_at=None).exists():
        if invitation.guest_id:
            raise Refused("is_member", "You are in this group already; a claim link is for somebody who is not.")
        return player
    now = timezone.now()
    _use(invitation, now)
    if invitation.guest:
        player = _handed_over(_unclaimed(invitation.guest), player)
    if is_under_18 or invitation.is_under_18:
        player.is_under_18 = True
        player.save(update_fields=["is_under_18"])
    _take_place(invitation, player, hides_lines, now)
    return player


def _unclaimed(guest: Player) -> Player:
    found = Player.objects.select_for_update().filter(pk=guest.pk, account=None, erased_at=None).first()
    if found is None:
        raise Refused("invitation_over", "These cards have been handed over already. Ask for a new invitation.")
    return found


def _handed_over(guest: Player, player: Player) -> Player:
    """The account moves to the guest's player; the empty player that it had before goes."""
    if CardEvent.objects.filter(player=player).exists():
        raise Refused(
            "has_rounds",
            "You have cards of your own here. Two records cannot be joined: take the guest's as a file and import it.",
        )
    account = player.account
    player.account = None
    player.save(update_fields=["account"])
    player.memberships.update(player=guest)
    Membership.objects.filter(keeper=player).update(keeper=guest)
    AuditEntry.objects.filter(actor=player).update(actor=guest)
    AuditEntry.objects.filter(about=player).update(about=guest)
    Invitation.objects.filter(invited_by=player).update(invited_by=guest)
    player.courses.update(owner=guest)
    Barrier.objects.filter(player=player).update(player=guest)
    make_due(guest)
    for field in ("name", "length_unit", "rated_for", "home_tee", "theme"):
        setattr(guest, field, getattr(player, field))
    guest.is_under_18 = guest.is_under_18 or player.is_under_18
    guest.account = account
    guest.version += 1
    player.delete()
    guest.save()
    return guest


def _take_place(invitation: Invitation, player: Player, hides_lines: bool, now: datetime) -> None:
    place = Membership.objects.filter(group=invitation.group, player=player, left_at=None).first()
    if place is None:
        place = Membership(group=invitation.group, player=player, joined_at=now)
    place.role, place.keeper, place.hides_lines = invitation.role, None, hides_lines
    place.version += 0 if place._state.adding else 1
    place.save()
    note_action(action="joined", actor=player, group=invitation.group, about=player, after={"role": place.role})


# Members


@transaction.atomic
def add_player(
    *,
    group: Group,
    actor: Player,
    name: str,
    role: str = Role.PLAYER,
    rated_for: str = RatedFor.MEN,
    is_under_18: bool = False,
    keeper: Player | None = None,
) -> Membership:
    """Somebody without an account. Whoever adds a guest keeps the card, unless another member is named."""
    _refuse_resting(group)
    now = timezone.now()
    player = Player.objects.create(
        name=name, rated_for=rated_for, is_under_18=is_under_18, joined_on=_day_in(group.time_zone, now)
    )
    place = Membership.objects.create(group=group, player=player, role=role, keeper=keeper or actor, joined_at=now)
    note_action(action="added", actor=actor, group=group, about=player, after={"role": role})
    return place


def _refuse_resting(group: Group) -> None:
    if group.rests_since is not None:
        raise Refused("group_rests", "This group rests: it can be read and exported, and nothing new comes in.")


def _refuse_last_organiser(place: Membership) -> None:
    others = Membership.objects.filter(group=place.group, role=Role.ORGANISER, left_at=None).exclude(pk=place.pk)
    if place.role == Role.ORGANISER and not others.exists():
        raise Refused("last_organiser", "You are the only organiser here. Make somebody else one first.")


@transaction.atomic
def change_membership(*, membership: Membership, actor: Player, changes: dict[str, Any]) -> Membership:
    """`changes` may hold `role` and `keeper` (organisers) and `hides_lines` (the member alone)."""
    _locked(membership.group)
    place = Membership.objects.select_related("group", "player").get(pk=membership.pk)
    _refuse_stale(place, membership)
    role = changes.get("role", place.role)
    if role != Role.ORGANISER:
        _refuse_last_organiser(place)
    if place.player.account_id is None and role in (Role.ORGANISER, Role.SCORER):
        raise Refused("no_account", "Somebody without an account can be a player or a guest. Send a claim link first.")
    before = {field: _plain(getattr(place, field)) for field in changes}
    for field, value in changes.items():
        setattr(place, field, value)
    place.version += 1
    place.save(update_fields=[*changes, "version"])
    after = {field: _plain(value) for field, value in changes.items()}
    if before != after:
        note_action(
            action="member_changed", actor=actor, group=place.group, about=place.player, before=before, after=after
        )
    return place


@transaction.atomic
def appoint_organiser(*, membership: Membership, reason: str) -> Membership:
    """By whoever runs the service, for a group without an organiser: it goes on with a willing member."""
    group = _locked(membership.group)
    place = Membership.objects.select_for_update().get(pk=membership.pk)
    before = {"role": place.role}
    place.role, group.rests_since = Role.ORGANISER, None
    place.version, group.version = place.version + 1, group.version + 1
    place.save(update_fields=["role", "version"])
    group.save(update_fields=["rests_since", "version"])
    note_action(
        action="member_changed",
        actor=None,
        group=group,
        about=membership.player,
        reason=reason,
        before=before,
        after={"role": place.role},
    )
    return place


def _plain(value: Any) -> Any:
    return str(value.pk) if isinstance(value, Player) else value


@transaction.atomic
def remove_member(*, membership: Membership, actor: Player, reason: str) -> None:
    """The person removed reads the reason in their settings. Links that they made end with them."""
    _end_place(membership, actor, "removed", reason)


@transaction.atomic
def leave_group(*, membership: Membership) -> None:
    _end_place(membership, membership.player, "left", "")


def _end_place(membership: Membership, actor: Player, action: str, reason: str) -> None:
    group = _locked(membership.group)
    place = Membership.objects.select_related("player", "group").get(pk=membership.pk)
    if place.left_at is not None:
        return
    _refuse_last_organiser(place)
    place.left_at, place.left_reason = timezone.now(), reason
    place.version += 1
    place.save(update_fields=["left_at", "left_reason", "version"])
    Invitation.objects.filter(group=group, invited_by=place.player, withdrawn_at=None).update(
        withdrawn_at=place.left_at
    )
    note_action(action=action, actor=actor, group=group, about=place.player, reason=reason, before={"role": place.role})


@transaction.atomic
def change_profile(*, player: Player, actor: Player, changes: dict[str, Any]) -> Player:
    """`changes` may hold `name`, `length_unit`, `rated_for`, `home_tee`, `theme` and `is_under_18`.

    The actor is the player, or whoever keeps the cards of a player without an account.
    """
    seen, player = player, Player.objects.select_for_update().get(pk=player.pk)
    _refuse_stale(player, seen)
    before = {"name": player.name}
    for field, value in changes.items():
        setattr(player, field, value)
    player.version += 1
    player.save()
    if player.name != before["name"]:
        groups = Group.objects.filter(memberships__player=player, memberships__left_at=None)
        for group in groups:
            note_action(
                action="renamed", actor=actor, group=group, about=player, before=before, after={"name": player.name}
            )
    return player
