"""Erasing a person: asked for, called off, and done when it falls due."""

import uuid
from collections.abc import Iterable, Mapping
from datetime import datetime, timedelta

from axes.models import AccessAttempt
from django.conf import settings
from django.db import transaction
from django.db.models import Q
from django.utils import timezone
from django.utils.module_loading import import_string

from league.models import (
    Account,
    AuditEntry,
    Barrier,
    Card,
    CardEvent,
    CardLine,
    CardMark,
    CarryBook,
    Course,
    Erasure,
    Foretold,
    Group,
    HoleDescription,
    Invitation,
    Membership,
    Outlook,
    Plan,
    Player,
    Revision,
    Role,
    Round,
    RoundImport,
    Standing,
    Token,
)
from league.services.accounts import end_sign_ins
from league.services.audit import note_action
from league.services.errors import Refused

FORMER_NAME = "former player"
"""Pages add a number, counted within the group."""


@transaction.atomic
def ask_to_erase(*, account: Account) -> datetime:
    """Sign-ins and tokens end at once; the erasure itself falls due later, so that minds can be changed."""
    now = timezone.now()
    due_at: datetime = now + timedelta(days=settings.ERASE_AFTER_DAYS)
    account.erase_due_at = due_at
    account.save(update_fields=["erase_due_at"])
    Token.objects.filter(account=account, withdrawn_at=None).update(withdrawn_at=now)
    end_sign_ins(account=account)
    note_action(action="erasure_asked", actor=account.player, about=account.player)
    return due_at


@transaction.atomic
def keep_account(*, account: Account) -> None:
    account.erase_due_at = None
    account.save(update_fields=["erase_due_at"])
    note_action(action="erasure_called_off", actor=account.player, about=account.player)


def erase_due(*, now: datetime) -> int:
    """Erase every account whose days are over, each in its own transaction. Run again after a stop, it goes on."""
    due = list(Account.objects.filter(erase_due_at__lte=now).values_list("pk", flat=True))
    return sum(_erase_account(account_id, now) for account_id in due)


@transaction.atomic
def _erase_account(account_id: uuid.UUID, now: datetime) -> bool:
    """False when the person changed their mind in the meantime."""
    account = Account.objects.select_for_update().filter(pk=account_id, erase_due_at__lte=now).first()
    if account is None:
        return False
    player = Player.objects.select_for_update().get(account=account)
    _delete_account(player, account)
    _erase_player(player, now)
    return True


def _delete_account(player: Player, account: Account) -> None:
    AccessAttempt.objects.filter(username=account.email).delete()
    end_sign_ins(account=account)
    player.account = None
    player.save(update_fields=["account"])
    account.delete()


@transaction.atomic
def replay_erasures(*, done: Iterable[uuid.UUID], asked: Mapping[uuid.UUID, datetime]) -> int:
    """After an old copy of the database was brought back: erase again who was erased since, keep who asked to be.

    Returns how many players were erased.
    """
    now = timezone.now()
    again = Player.objects.select_for_update(of=("self",)).filter(pk__in=list(done), erased_at=None)
    players = list(again.select_related("account").order_by("pk"))
    for player in players:
        if player.account is not None:
            _delete_account(player, player.account)
        _erase_player(player, now)
    for account_id, due_at in asked.items():
        Account.objects.filter(pk=account_id).update(erase_due_at=due_at)
    return len(players)


@transaction.atomic
def erase_guest(*, player: Player, actor: Player) -> None:
    """Somebody without an account, at once: there is no sign-in by which to change one's mind."""
    player = Player.objects.select_for_update().get(pk=player.pk)
    if player.account_id is not None:
        raise Refused("has_account", "This player has an account; erasing it is theirs to ask.")
    if player.erased_at is None:
        _erase_player(player, timezone.now(), actor)


def _erase_player(player: Player, now: datetime, actor: Player | None = None) -> None:
    """The player's row stays, without a name, so that others' cards and closed results keep their sums.

    The Erasure row opens the ledger for deleting (the database refuses it otherwise) and stays as the proof.
    """
    erasure = Erasure.objects.create(id=uuid.uuid4(), player_number=player.pk, begun_at=now)
    for eraser in settings.LEAGUE_ERASERS:
        import_string(eraser)(player)
    _delete_record(player)
    _delete_words(player)
    _end_places(player, now, actor)
    player.name = FORMER_NAME
    player.is_under_18, player.home_tee, player.theme = False, None, ""
    player.erased_at = now
    player.version += 1
    player.save()
    erasure.done_at = timezone.now()
    erasure.save(update_fields=["done_at"])


def _delete_record(player: Player) -> None:
    Standing.objects.filter(player=player).delete()
    Barrier.objects.filter(player=player).delete()
    Outlook.objects.filter(player=player).delete()
    Plan.objects.filter(player=player).delete()
    CarryBook.objects.filter(player=player).delete()
    Foretold.objects.filter(player=player).delete()
    Revision.objects.filter(player=player).delete()
    CardEvent.objects.filter(player=player).delete()
    Round.objects.filter(player=player).delete()
    CardLine.objects.filter(player=player).delete()
    Card.objects.filter(opened_by=player).update(opened_by=None)
    CardMark.objects.filter(written_by=player).update(written_by=None)
    Card.objects.exclude(lines__player__account__isnull=False).filter(opened_by=None).delete()
    RoundImport.objects.filter(Q(player=player) | Q(made_by=player, group=None)).delete()
    for imported in RoundImport.objects.filter(Q(group__memberships__player=player) | Q(group=None)).distinct():
        others = [row for row in imported.rows if row.get("player") != str(player.pk)]
        if len(others) < len(imported.rows):
            imported.rows, imported.notes = others, []
            imported.save(update_fields=["rows", "notes"])
    played_on = Card.objects.values("tee__course_id")
    unused = Course.objects.filter(owner=player).exclude(tees__rounds__isnull=False).exclude(pk__in=played_on)
    unused.delete()


def _delete_words(player: Player) -> None:
    Round.objects.filter(marker=player).update(marker_name="")
    HoleDescription.objects.filter(written_by=player).update(written_by=None)
    AuditEntry.objects.filter(about=player).update(reason="", before=None, after=None)
    Invitation.objects.filter(guest=player).delete()
    Invitation.objects.filter(invited_by=player).delete()


def _end_places(player: Player, now: datetime, actor: Player | None) -> None:
    """A group that loses its last organiser rests, until a member is appointed."""
    Membership.objects.filter(keeper=player).update(keeper=None)
    player.memberships.exclude(left_reason="").update(left_reason="")
    for place in player.memberships.filter(left_at=None).select_related("group").order_by("group_id"):
        group = Group.objects.select_for_update().get(pk=place.group_id)
        place.left_at = now
        place.save(update_fields=["left_at"])
        note_action(action="erased", actor=actor or player, group=group, about=player)
        has_organiser = Membership.objects.filter(group=group, role=Role.ORGANISER, left_at=None).exists()
        if not has_organiser and group.rests_since is None:
            group.rests_since = now
            group.save(update_fields=["rests_since"])
