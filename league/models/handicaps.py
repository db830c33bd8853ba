"""The ledger: card events as they came in, and the revision that each caused. Both only grow."""

from typing import ClassVar

from django.db import models

from league.models.members import Player
from league.models.rounds import Round


class EventKind(models.TextChoices):
    ENTERED = "entered", "entered"
    CORRECTED = "corrected", "corrected"
    WITHDRAWN = "withdrawn", "withdrawn"
    ADJUSTED = "adjusted", "adjusted"
    LIFTED = "lifted", "lifted"


class CardEvent(models.Model):
    """A fact, with everything needed to compute from it (`league.rules.record.event_as_plain`)."""

    id = models.BigAutoField(primary_key=True)
    player = models.ForeignKey(Player, on_delete=models.CASCADE, related_name="card_events")
    number = models.PositiveIntegerField()
    kind = models.CharField(max_length=9, choices=EventKind)
    round = models.ForeignKey(Round, null=True, on_delete=models.CASCADE, related_name="events")
    facts = models.JSONField()
    entered_on = models.DateField()
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(Player, null=True, on_delete=models.SET_NULL, related_name="+")
    reason = models.CharField(max_length=500, blank=True)

    class Meta:
        ordering: ClassVar = ["number"]
        constraints: ClassVar = [models.UniqueConstraint(fields=["player", "number"], name="events_numbered_once")]

    def __str__(self) -> str:
        return f"event {self.number}"


class Revision(models.Model):
    """What one event made of the index. `detail` is the full explanation as data (`record.Revision.as_plain`)."""

    id = models.BigAutoField(primary_key=True)
    player = models.ForeignKey(Player, on_delete=models.CASCADE, related_name="revisions")
    event = models.OneToOneField(CardEvent, on_delete=models.CASCADE, related_name="revision")
    number = models.PositiveIntegerField()
    issued_on = models.DateField()
    index_tenths = models.IntegerField(null=True)
    low_tenths = models.IntegerField(null=True)
    differential_tenths = models.IntegerField(null=True)
    edition = models.CharField(max_length=60)
    detail = models.JSONField()

    class Meta:
        ordering: ClassVar = ["number"]
        constraints: ClassVar = [models.UniqueConstraint(fields=["player", "number"], name="revisions_numbered_once")]

    def __str__(self) -> str:
        return f"revision {self.number}"


class Standing(models.Model):
    """The small state from which the next round is appended without reading the history."""

    player = models.OneToOneField(Player, primary_key=True, on_delete=models.CASCADE, related_name="standing")
    state = models.JSONField(null=True)
    index_tenths = models.IntegerField(null=True)
    low_tenths = models.IntegerField(null=True)
    n_scores = models.PositiveIntegerField(default=0)
    last_number = models.PositiveIntegerField(default=0)

    def __str__(self) -> str:
        return f"standing of {self.player_id}"


class Erasure(models.Model):
    """While a row names a player, the database lets that player's ledger be deleted; kept after as the proof."""

    id = models.UUIDField(primary_key=True, editable=False)
    player_number = models.UUIDField(db_index=True)
    begun_at = models.DateTimeField()
    done_at = models.DateTimeField(null=True)

    def __str__(self) -> str:
        return f"erasure {self.id}"
