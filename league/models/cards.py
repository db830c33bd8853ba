"""A card while it is being played: up to four players, every mark kept, from as many phones as write on it.

Nothing here counts for anything until it is sent in: then each player's holes become a round. A card stands on its own
or in a group; `played_on` is the calendar day at the course.
"""

import uuid
from typing import ClassVar

from django.db import models
from django.db.models import Q

from league.models.courses import HolesInPlay, Tee
from league.models.members import Group, Player
from league.models.rounds import Round


class CardState(models.TextChoices):
    OPEN = "open", "open"
    SENT = "sent", "sent in"
    DROPPED = "dropped", "dropped"


class LineState(models.TextChoices):
    OPEN = "open", "open"
    WAITS = "waits", "waits for the player's yes"
    POSTED = "posted", "posted"
    DECLINED = "declined", "declined"


class MarkState(models.TextChoices):
    """Two standing marks of one hole are impossible; two contested ones wait until a person chooses."""

    STANDING = "standing", "standing"
    CONTESTED = "contested", "contested"
    REPLACED = "replaced", "replaced"
    AGREED = "agreed", "says the same as another"


class Card(models.Model):
    """`client_id` is made on the phone when the card is opened there: the same card sent twice is one card.

    `tee_version` is the tee's version when the card was opened: a rating changed since is told, not applied unseen.
    `sent_at` is when its last line closed, or when it was dropped.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    client_id = models.UUIDField()
    opened_by = models.ForeignKey(Player, null=True, on_delete=models.SET_NULL, related_name="+")
    group = models.ForeignKey(Group, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")
    tee = models.ForeignKey(Tee, on_delete=models.PROTECT, related_name="+")
    tee_version = models.PositiveIntegerField()
    holes_in_play = models.CharField(max_length=5, choices=HolesInPlay, default=HolesInPlay.EIGHTEEN)
    played_on = models.DateField()
    order_in_day = models.PositiveSmallIntegerField(default=1)
    state = models.CharField(max_length=7, choices=CardState, default=CardState.OPEN)
    opened_at = models.DateTimeField()
    sent_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["opened_by", "client_id"], name="one_card_per_phone_card")
        ]

    def __str__(self) -> str:
        return f"card {self.id}"


class CardLine(models.Model):
    """One player's line on a card, and the round it became. A line that was declined without an answer of the player's
    closed with nothing on it, or was dropped by whoever opened the card.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    card = models.ForeignKey(Card, on_delete=models.CASCADE, related_name="lines")
    player = models.ForeignKey(Player, on_delete=models.CASCADE, related_name="card_lines")
    place = models.PositiveSmallIntegerField()
    state = models.CharField(max_length=8, choices=LineState, default=LineState.OPEN)
    round = models.OneToOneField(Round, null=True, blank=True, on_delete=models.SET_NULL, related_name="card_line")
    answered_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["place"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["card", "player"], name="a_player_once_on_a_card"),
            models.UniqueConstraint(fields=["card", "place"], name="one_player_per_place"),
            models.CheckConstraint(condition=Q(place__range=(1, 4)), name="at_most_four_on_a_card"),
        ]

    def __str__(self) -> str:
        return f"line {self.place}"


class CardMark(models.Model):
    """What one phone wrote for one hole, whole: strokes, putts, penalties and the quick fields; kept for ever.

    `client_id` is made at the tap, so a mark that arrives twice is one. `over` is the mark that the phone showed when
    it was written over. `claimed_at` is the phone's clock: shown, and never believed for order or rights.
    `is_set_aside`: two marks were contested and a person chose the other one. `state` follows from the marks of the
    hole (`models.marks`) and is kept for reading.
    """

    id = models.BigAutoField(primary_key=True)
    line = models.ForeignKey(CardLine, on_delete=models.CASCADE, related_name="marks")
    number = models.PositiveSmallIntegerField()
    client_id = models.UUIDField()
    over = models.UUIDField(null=True, blank=True)
    value = models.JSONField(null=True)
    state = models.CharField(max_length=9, choices=MarkState, default=MarkState.STANDING)
    is_set_aside = models.BooleanField(default=False)
    written_by = models.ForeignKey(Player, null=True, on_delete=models.SET_NULL, related_name="+")
    device = models.UUIDField()
    claimed_at = models.DateTimeField(null=True, blank=True)
    written_at = models.DateTimeField()

    class Meta:
        ordering: ClassVar = ["number", "id"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["line", "client_id"], name="a_mark_arrives_once"),
            models.UniqueConstraint(
                fields=["line", "number"], condition=Q(state="standing"), name="one_standing_mark_per_hole"
            ),
            models.CheckConstraint(condition=Q(number__range=(1, 18)), name="marked_hole_within_bounds"),
        ]

    def __str__(self) -> str:
        return f"mark {self.id}"
