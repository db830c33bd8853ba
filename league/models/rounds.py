"""Rounds as they stand now. How they came to stand so is in the card events (`handicaps.py`)."""

import uuid
from typing import ClassVar

from django.db import models

from league.estimates.holes import Result
from league.estimates.outlook import Played
from league.models.courses import Hole, HolesInPlay, Tee
from league.models.members import Group, Player


class RoundState(models.TextChoices):
    STANDING = "standing", "standing"
    WITHDRAWN = "withdrawn", "withdrawn"


class NotPlayedReason(models.TextChoices):
    """Valid reasons for holes not played (Rule 3.2)."""

    LIGHT = "light", "failing light"
    WEATHER = "weather", "weather"
    INJURY = "injury", "injury"
    ILLNESS = "illness", "illness"
    DECIDED = "decided", "match already decided"
    CLOSED = "closed", "hole closed"


class RoundImport(models.Model):
    """A checked file of past rounds. `player` set: it waits for, or came from, that one player."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    group = models.ForeignKey(Group, null=True, on_delete=models.CASCADE, related_name="imports")
    player = models.ForeignKey(Player, null=True, on_delete=models.CASCADE, related_name="imports")
    made_by = models.ForeignKey(Player, null=True, on_delete=models.SET_NULL, related_name="+")
    state = models.CharField(max_length=8, default="ready")
    rows = models.JSONField(default=list)
    notes = models.JSONField(default=list)
    ref = models.CharField(max_length=64, blank=True)
    created_at = models.DateTimeField()
    applied_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    def __str__(self) -> str:
        return f"import {self.id}"


class RoundSet(models.QuerySet["Round"]):
    def whole(self) -> "RoundSet":
        """Standing rounds of eighteen holes, each player's in order of play. Nine holes are never counted double."""
        found = self.filter(
            state=RoundState.STANDING, n_holes=18, holes_in_play__in=[HolesInPlay.EIGHTEEN, HolesInPlay.TWICE]
        )
        return found.order_by("player_id", "played_on", "order_in_day", "entered_at")

    def hole_by_hole(self) -> "list[tuple[Round, list[Result]]]":
        """Of these, the ones once round eighteen holes with strokes on each, and the results in the order of play."""
        rounds = list(self.filter(holes_in_play=HolesInPlay.EIGHTEEN, is_total=False).select_related("tee"))
        pars = _pars_of({played.tee_id for played in rounds})
        found: dict[uuid.UUID, list[Result]] = {played.pk: [] for played in rounds}
        scores = HoleScore.objects.filter(round__in=list(found), strokes__isnull=False).order_by("number")
        tees = {played.pk: played.tee_id for played in rounds}
        for round_id, number, strokes in scores.values_list("round_id", "number", "strokes"):
            par = pars[tees[round_id]].get(number)
            if par is not None and strokes is not None:
                found[round_id].append(Result(number, par, strokes))
        return [
            (played, results)
            for played in rounds
            if (results := found[played.pk]) and len(results) == len(pars[played.tee_id])
        ]


def _pars_of(tees: set[uuid.UUID]) -> dict[uuid.UUID, dict[int, int]]:
    found: dict[uuid.UUID, dict[int, int]] = {tee: {} for tee in tees}
    for tee, number, par in Hole.objects.filter(tee__in=tees).values_list("tee_id", "number", "par"):
        found[tee][number] = par
    return found


class Round(models.Model):
    """Tenths are whole numbers. `gross` is None when a hole was picked up without a number: not known, not zero."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    player = models.ForeignKey(Player, on_delete=models.CASCADE, related_name="rounds")
    tee = models.ForeignKey(Tee, on_delete=models.PROTECT, related_name="rounds")
    holes_in_play = models.CharField(max_length=5, choices=HolesInPlay, default=HolesInPlay.EIGHTEEN)
    n_holes = models.PositiveSmallIntegerField()
    is_total = models.BooleanField(default=False)
    played_on = models.DateField()
    order_in_day = models.PositiveSmallIntegerField(default=1)
    gross = models.PositiveSmallIntegerField(null=True, blank=True)
    adjusted_gross = models.PositiveSmallIntegerField(null=True, blank=True)
    differential_tenths = models.IntegerField(null=True, blank=True)
    no_differential_reason = models.CharField(max_length=40, blank=True)
    is_estimated = models.BooleanField(default=False)
    playing_conditions = models.SmallIntegerField(default=0)
    playing_conditions_from = models.CharField(max_length=120, blank=True)
    not_played_reason = models.CharField(max_length=8, choices=NotPlayedReason, blank=True)
    marker = models.ForeignKey(Player, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")
    marker_name = models.CharField(max_length=80, blank=True)
    note = models.CharField(max_length=500, blank=True)
    notes = models.JSONField(default=list)
    ref = models.CharField(max_length=64, blank=True)
    fingerprint = models.CharField(max_length=64, db_index=True)
    state = models.CharField(max_length=9, choices=RoundState, default=RoundState.STANDING)
    posted_by = models.ForeignKey(Player, null=True, on_delete=models.SET_NULL, related_name="+")
    from_import = models.ForeignKey(RoundImport, null=True, on_delete=models.SET_NULL, related_name="rounds")
    entered_at = models.DateTimeField()
    attested_by = models.ForeignKey(Player, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")
    attested_at = models.DateTimeField(null=True, blank=True)
    attested_on_paper = models.BooleanField(default=False)
    version = models.PositiveIntegerField(default=1)

    objects = RoundSet.as_manager()

    class Meta:
        indexes: ClassVar = [models.Index(fields=["player", "played_on", "order_in_day"], name="rounds_in_play_order")]

    def __str__(self) -> str:
        return f"round {self.id}"

    @property
    def least_gross(self) -> int | None:
        """The gross score; where a hole was picked up without a number, with that hole at its cap."""
        return self.gross if self.gross is not None else self.adjusted_gross

    @property
    def as_played(self) -> Played | None:
        """A whole round as the outlook needs it; its tee must be of the course at hand."""
        gross = self.least_gross
        return None if gross is None else Played(self.played_on, self.tee.ground.differential(gross), self.tee.key)

    @property
    def hole_numbers(self) -> list[int]:
        """The holes with a row of their own; of a total, those in play."""
        scored = self.hole_scores.order_by("number").values_list("number", flat=True)
        return list(scored) or [hole.number for hole in self.tee.in_play(self.holes_in_play).holes]


class HoleScore(models.Model):
    """A hole started. Holes not played have no row.

    Optional, for the leak ladder: whether the first putt was from beyond 20 feet, the strokes taken from inside about
    60 yards (putts included), and whether a shot only brought the ball back into play.
    """

    id = models.BigAutoField(primary_key=True)
    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="hole_scores")
    number = models.PositiveSmallIntegerField()
    strokes = models.PositiveSmallIntegerField(null=True, blank=True)
    is_picked_up = models.BooleanField(default=False)
    putts = models.PositiveSmallIntegerField(null=True, blank=True)
    penalties = models.PositiveSmallIntegerField(null=True, blank=True)
    first_putt_is_long = models.BooleanField(null=True, blank=True)
    strokes_from_60 = models.PositiveSmallIntegerField(null=True, blank=True)
    had_recovery = models.BooleanField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["number"]
        constraints: ClassVar = [models.UniqueConstraint(fields=["round", "number"], name="one_score_per_hole")]

    def __str__(self) -> str:
        return f"hole {self.number}"
