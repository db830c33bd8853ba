"""Who takes part: accounts that sign in, players who score, groups that meet."""

import hashlib
import uuid
from typing import Any, ClassVar

from django.contrib.auth.models import AbstractBaseUser, BaseUserManager
from django.db import models
from django.db.models import Q


class AccountManager(BaseUserManager["Account"]):
    def create_user(self, email: str, password: str | None = None, **fields: Any) -> "Account":
        account = self.model(email=fold_email(email), **fields)
        account.set_password(password)
        account.save(using=self._db)
        return account

    def get_by_natural_key(self, username: str | None) -> "Account":
        return self.get(email=fold_email(username or ""))


def fold_email(email: str) -> str:
    return email.strip().casefold()


def hash_of(value: str) -> str:
    """What is stored of a link's or token's value. It holds 256 random bits, so no salt is needed."""
    return hashlib.sha256(value.encode("utf-8", "replace")).hexdigest()


class Account(AbstractBaseUser):
    """A person's way in. Everything about golf hangs on the player, so that guests need no account."""

    USERNAME_FIELD = "email"
    EMAIL_FIELD = "email"
    REQUIRED_FIELDS: ClassVar[list[str]] = []

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    email = models.EmailField(unique=True, max_length=254)
    is_active = models.BooleanField(default=True)
    is_staff = models.BooleanField(default=False)
    created_at = models.DateTimeField()
    erase_due_at = models.DateTimeField(null=True, blank=True)

    objects: ClassVar[AccountManager] = AccountManager()

    def __str__(self) -> str:
        return str(self.id)


class LengthUnit(models.TextChoices):
    YARDS = "yards", "yards"
    METRES = "metres", "metres"


class RatedFor(models.TextChoices):
    """Whom a course and slope rating was made for; ratings exist per set of tees and per gender."""

    MEN = "men", "men"
    WOMEN = "women", "women"


class Theme(models.TextChoices):
    SYSTEM = "", "as the device says"
    LIGHT = "light", "light"
    DARK = "dark", "dark"


class Player(models.Model):
    """Somebody with scores. `joined_on` decides which rounds count as history (entered on their play date)."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    account = models.OneToOneField(Account, null=True, blank=True, on_delete=models.SET_NULL, related_name="player")
    name = models.CharField(max_length=80)
    name_folded = models.CharField(max_length=160, db_index=True)
    joined_on = models.DateField()
    length_unit = models.CharField(max_length=6, choices=LengthUnit, default=LengthUnit.YARDS)
    rated_for = models.CharField(max_length=5, choices=RatedFor, default=RatedFor.MEN)
    home_tee = models.ForeignKey("league.Tee", null=True, blank=True, on_delete=models.SET_NULL, related_name="+")
    theme = models.CharField(max_length=5, choices=Theme, default=Theme.SYSTEM, blank=True)
    is_under_18 = models.BooleanField(default=False)
    erased_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    def __str__(self) -> str:
        return self.name

    def save(self, *args: Any, **kwargs: Any) -> None:
        self.name_folded = self.name.casefold()
        super().save(*args, **kwargs)


class Group(models.Model):
    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    name = models.CharField(max_length=80)
    time_zone = models.CharField(max_length=64)
    created_at = models.DateTimeField()
    rests_since = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    def __str__(self) -> str:
        return self.name


class Role(models.TextChoices):
    ORGANISER = "organiser", "organiser"
    SCORER = "scorer", "scorer"
    PLAYER = "player", "player"
    GUEST = "guest", "guest"


class Membership(models.Model):
    """A player's place in a group. It is ended, never deleted: closed results keep their people."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    group = models.ForeignKey(Group, on_delete=models.CASCADE, related_name="memberships")
    player = models.ForeignKey(Player, on_delete=models.CASCADE, related_name="memberships")
    role = models.CharField(max_length=9, choices=Role, default=Role.PLAYER)
    keeper = models.ForeignKey(
        Player, null=True, blank=True, on_delete=models.SET_NULL, related_name="kept_memberships"
    )
    hides_lines = models.BooleanField(default=False)
    joined_at = models.DateTimeField()
    left_at = models.DateTimeField(null=True, blank=True)
    left_reason = models.CharField(max_length=500, blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["group", "player"], condition=Q(left_at__isnull=True), name="one_open_membership"
            )
        ]

    def __str__(self) -> str:
        return f"{self.player_id} in {self.group_id}"


class Invitation(models.Model):
    """A link into a group. Only its hash is kept; `guest` makes it a claim link for that guest's cards."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    group = models.ForeignKey(Group, on_delete=models.CASCADE, related_name="invitations")
    invited_by = models.ForeignKey(Player, null=True, on_delete=models.SET_NULL, related_name="+")
    token_hash = models.CharField(max_length=64, unique=True)
    role = models.CharField(max_length=9, choices=Role, default=Role.PLAYER)
    label = models.CharField(max_length=80, blank=True)
    guest = models.ForeignKey(Player, null=True, blank=True, on_delete=models.CASCADE, related_name="+")
    is_under_18 = models.BooleanField(default=False)
    uses_left = models.PositiveSmallIntegerField(default=1)
    created_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"invitation {self.id}"


class Token(models.Model):
    """An API token. The value is shown once; the table holds its SHA-256."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    account = models.ForeignKey(Account, on_delete=models.CASCADE, related_name="tokens")
    name = models.CharField(max_length=80)
    token_hash = models.CharField(max_length=64, unique=True)
    scopes = models.JSONField(default=list)
    created_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    last_used_on = models.DateField(null=True, blank=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"token {self.id}"


class SignIn(models.Model):
    """One open sign-in of an account: what the settings page lists and can end."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    account = models.ForeignKey(Account, on_delete=models.CASCADE, related_name="sign_ins")
    session_key = models.CharField(max_length=40, unique=True)
    agent = models.CharField(max_length=120, blank=True)
    created_at = models.DateTimeField()
    last_seen_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"sign-in {self.id}"


class AuditEntry(models.Model):
    """Who did what to whom and why. Nobody edits or deletes; erasure blanks names only."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    group = models.ForeignKey(Group, null=True, on_delete=models.CASCADE, related_name="audit_entries")
    actor = models.ForeignKey(Player, null=True, on_delete=models.SET_NULL, related_name="+")
    about = models.ForeignKey(Player, null=True, on_delete=models.SET_NULL, related_name="+")
    action = models.CharField(max_length=40)
    reason = models.CharField(max_length=500, blank=True)
    before = models.JSONField(null=True)
    after = models.JSONField(null=True)
    at = models.DateTimeField()

    class Meta:
        indexes: ClassVar = [models.Index(fields=["group", "at"], name="audit_by_group")]

    def __str__(self) -> str:
        return f"{self.action} {self.id}"


class IdempotencyKey(models.Model):
    """A key that a client sent with a POST, and the answer it got; written with the change itself."""

    id = models.BigAutoField(primary_key=True)
    account = models.ForeignKey(Account, on_delete=models.CASCADE, related_name="+")
    method = models.CharField(max_length=6)
    path = models.CharField(max_length=300)
    key = models.CharField(max_length=64)
    fingerprint = models.CharField(max_length=64)
    status = models.PositiveSmallIntegerField(null=True)
    body = models.JSONField(null=True)
    headers = models.JSONField(default=dict)
    made_round = models.ForeignKey("league.Round", null=True, on_delete=models.CASCADE, related_name="+")
    created_at = models.DateTimeField(db_index=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["account", "method", "path", "key"], name="one_answer_per_key")
        ]

    def __str__(self) -> str:
        return f"key {self.id}"
