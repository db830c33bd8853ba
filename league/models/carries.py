"""The carry book: a player's clubs, how far each carries and how that scatters, typed or measured."""

import uuid
from typing import ClassVar

from django.db import models
from django.db.models import Q

from league.models.members import LengthUnit, Player


class ClubKind(models.TextChoices):
    DRIVER = "driver", "driver"
    WOOD = "wood", "fairway wood"
    HYBRID = "hybrid", "hybrid"
    IRON = "iron", "iron"
    WEDGE = "wedge", "wedge"
    PUTTER = "putter", "putter"


class Curve(models.TextChoices):
    STRAIGHT = "", "straight"
    LEFT = "left", "to the left"
    RIGHT = "right", "to the right"


class CarryBook(models.Model):
    """One per player. Distances are whole numbers in `length_unit`; changing the unit converts every row.

    `liked_distance` is what the player likes to leave; the notes are the player's own words by lie.
    """

    player = models.OneToOneField(Player, primary_key=True, on_delete=models.CASCADE, related_name="carry_book")
    length_unit = models.CharField(max_length=6, choices=LengthUnit)
    liked_distance = models.PositiveSmallIntegerField(null=True, blank=True)
    from_rough = models.CharField(max_length=120, blank=True)
    from_bare = models.CharField(max_length=120, blank=True)
    ball_above = models.CharField(max_length=120, blank=True)
    ball_below = models.CharField(max_length=120, blank=True)
    version = models.PositiveIntegerField(default=1)

    def __str__(self) -> str:
        return f"carry book of {self.player_id}"


class Club(models.Model):
    """`carry` and the spreads are as typed (standard deviations, `wide_tenths` in tenths of a degree), None if not.

    `curve_by` is how far off its starting line a usual shot lands, on the side of `curve`. Tenths of a degree of loft.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    book = models.ForeignKey(CarryBook, on_delete=models.CASCADE, related_name="clubs")
    name = models.CharField(max_length=30)
    kind = models.CharField(max_length=6, choices=ClubKind)
    loft_tenths = models.PositiveSmallIntegerField(null=True, blank=True)
    carry = models.PositiveSmallIntegerField(null=True, blank=True)
    long_spread = models.PositiveSmallIntegerField(null=True, blank=True)
    wide_tenths = models.PositiveSmallIntegerField(null=True, blank=True)
    curve = models.CharField(max_length=5, choices=Curve, blank=True, default=Curve.STRAIGHT)
    curve_by = models.PositiveSmallIntegerField(null=True, blank=True)
    is_carried = models.BooleanField(default=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["book", "name"], name="one_club_of_a_name"),
            models.CheckConstraint(condition=Q(carry__isnull=True) | Q(carry__range=(1, 400)), name="carry_bounds"),
        ]

    def __str__(self) -> str:
        return self.name


class Shot(models.Model):
    """A measured shot: carry, and how far off the line it landed (right is positive), in the book's unit."""

    id = models.BigAutoField(primary_key=True)
    club = models.ForeignKey(Club, on_delete=models.CASCADE, related_name="shots")
    carry = models.PositiveSmallIntegerField()
    off_line = models.SmallIntegerField(null=True, blank=True)
    hit_on = models.DateField(null=True, blank=True)
    batch = models.UUIDField(null=True, blank=True)

    class Meta:
        indexes: ClassVar = [models.Index(fields=["club", "id"], name="shots_by_club")]

    def __str__(self) -> str:
        return f"shot {self.id}"
