"""A player's plan for eighteen holes. It is the owner's alone."""

import uuid
from typing import ClassVar

from django.db import models
from django.db.models import Q

from league.models.barriers import HIGHEST_BARRIER, LOWEST_BARRIER
from league.models.courses import HolesInPlay, Tee
from league.models.members import Player
from league.models.rounds import Round


class Stance(models.TextChoices):
    ATTACK = "attack", "attack"
    MEASURED = "measured", "measured"
    PROTECT = "protect", "protect"


class Plan(models.Model):
    """`conditions`: the day as typed (temperature, wind, ground, altitude), in `league.estimates` terms.

    `told` is the whole compiled plan as plain values: what the pages, the sheet and the card show, with the reasons.
    It is worked out when the plan is made or changed, so that what was printed stays what it was.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    player = models.ForeignKey(Player, on_delete=models.CASCADE, related_name="plans")
    tee = models.ForeignKey(Tee, on_delete=models.CASCADE, related_name="+")
    holes_in_play = models.CharField(max_length=5, choices=HolesInPlay, default=HolesInPlay.EIGHTEEN)
    barrier = models.PositiveSmallIntegerField()
    for_day = models.DateField(null=True, blank=True)
    conditions = models.JSONField(default=dict)
    told = models.JSONField()
    round = models.OneToOneField(Round, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")
    created_at = models.DateTimeField()
    worked_out_at = models.DateTimeField()
    version = models.PositiveIntegerField(default=1)

    class Meta:
        indexes: ClassVar = [models.Index(fields=["player", "created_at"], name="plans_by_player")]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(barrier__range=(LOWEST_BARRIER, HIGHEST_BARRIER)), name="plan_barrier_within_bounds"
            )
        ]

    def __str__(self) -> str:
        return f"plan {self.id}"


class HolePlan(models.Model):
    """What the player decided: a personal par set by hand stays when the others re-balance (`is_fixed`).

    `club`, `stance` and `note` are the player's own where they are not empty; `is_kept` is answered after the round.
    """

    id = models.BigAutoField(primary_key=True)
    plan = models.ForeignKey(Plan, on_delete=models.CASCADE, related_name="holes")
    number = models.PositiveSmallIntegerField()
    personal_par = models.PositiveSmallIntegerField()
    is_fixed = models.BooleanField(default=False)
    stance = models.CharField(max_length=8, choices=Stance, blank=True)
    club = models.CharField(max_length=30, blank=True)
    note = models.CharField(max_length=200, blank=True)
    is_kept = models.BooleanField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["number"]
        constraints: ClassVar = [models.UniqueConstraint(fields=["plan", "number"], name="one_plan_per_hole")]

    def __str__(self) -> str:
        return f"hole {self.number}"
