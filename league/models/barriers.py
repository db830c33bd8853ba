"""Barriers, the outlook as last worked out, and every outlook beside the round that it foretold."""

import uuid
from typing import ClassVar

from django.db import models
from django.db.models import Q

from league.models.courses import Tee
from league.models.members import Group, Player
from league.models.rounds import Round

LOWEST_BARRIER, HIGHEST_BARRIER = 60, 150


class Barrier(models.Model):
    """A gross eighteen-hole score to get under, on any tee or on one set of tees. `broken_by` is the proof.

    `told` holds what takes long to work out: the leak ladder and the what-ifs, as last refreshed.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    player = models.ForeignKey(Player, on_delete=models.CASCADE, related_name="barriers")
    score = models.PositiveSmallIntegerField()
    tee = models.ForeignKey(Tee, null=True, blank=True, on_delete=models.CASCADE, related_name="+")
    is_hidden = models.BooleanField(default=False)
    set_on = models.DateField()
    broken_by = models.ForeignKey(Round, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")
    broken_on = models.DateField(null=True, blank=True)
    told = models.JSONField(null=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(score__range=(LOWEST_BARRIER, HIGHEST_BARRIER)), name="barrier_within_bounds"
            ),
            models.UniqueConstraint(
                fields=["player", "score"], condition=Q(tee__isnull=True), name="one_barrier_on_any_tee"
            ),
            models.UniqueConstraint(fields=["player", "score", "tee"], name="one_barrier_on_each_tee"),
        ]

    def __str__(self) -> str:
        return f"under {self.score}"


class Outlook(models.Model):
    """A player's level as last worked out (`league.estimates.outlook.Level` as plain values).

    `told` is the ladder of the next classic barrier, for players who have none of their own open.
    It is due again when `last_number` is not that of the player's ledger; nothing is written when a round comes in.
    """

    player = models.OneToOneField(Player, primary_key=True, on_delete=models.CASCADE, related_name="outlook")
    level = models.JSONField()
    told = models.JSONField(null=True)
    n_rounds = models.PositiveIntegerField()
    last_number = models.PositiveIntegerField()
    computed_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"outlook of {self.player_id}"


class Foretold(models.Model):
    """The outlook before a round, from earlier rounds only, beside what came of it.

    `is_hindsight`: worked out afterwards, for history or since an earlier card was corrected; nobody saw it before.
    """

    round = models.OneToOneField(Round, primary_key=True, on_delete=models.CASCADE, related_name="foretold")
    player = models.ForeignKey(Player, on_delete=models.CASCADE, related_name="foretold")
    played_on = models.DateField()
    is_hindsight = models.BooleanField()
    n_before = models.PositiveIntegerField()
    gross = models.PositiveSmallIntegerField()
    course_rating = models.FloatField()
    slope_rating = models.PositiveSmallIntegerField()
    mode = models.FloatField()
    left = models.FloatField()
    right = models.FloatField()
    freedom = models.FloatField()

    class Meta:
        indexes: ClassVar = [models.Index(fields=["player", "played_on"], name="foretold_by_player")]

    def __str__(self) -> str:
        return f"foretold {self.round_id}"


class Judgement(models.Model):
    """How well the outlooks have come true, for a group or (without one) the whole installation, as last worked out."""

    id = models.BigAutoField(primary_key=True)
    group = models.OneToOneField(Group, null=True, on_delete=models.CASCADE, related_name="judgement")
    told = models.JSONField()
    n_rounds = models.PositiveIntegerField()
    computed_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"judgement of {self.group_id or 'all'}"


class GroupEvidence(models.Model):
    """Whether bad holes carry over in a group, as last worked out; of nobody in particular."""

    group = models.OneToOneField(Group, primary_key=True, on_delete=models.CASCADE, related_name="evidence")
    told = models.JSONField()
    n_rounds = models.PositiveIntegerField()
    computed_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"evidence of group {self.group_id}"
