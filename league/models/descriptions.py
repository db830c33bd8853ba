"""What a hole looks like, as the group described it. Versions are appended; the newest one is current."""

from typing import ClassVar

from django.db import models
from django.db.models import Q

from league.models.courses import Course, Tee
from league.models.members import LengthUnit, Player


class HoleDescription(models.Model):
    """`described` holds a `league.rules.described.Described` as plain values.

    `measured_length` is the hole's length on the tee it was described from; another tee's distances move by the
    difference. A version is never changed: who corrects a hole appends the next.
    """

    id = models.BigAutoField(primary_key=True)
    course = models.ForeignKey(Course, on_delete=models.CASCADE, related_name="descriptions")
    number = models.PositiveSmallIntegerField()
    version = models.PositiveIntegerField()
    is_current = models.BooleanField(default=True)
    length_unit = models.CharField(max_length=6, choices=LengthUnit)
    measured_from = models.ForeignKey(Tee, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")
    measured_length = models.PositiveSmallIntegerField(null=True, blank=True)
    described = models.JSONField()
    reason = models.CharField(max_length=200, blank=True)
    written_by = models.ForeignKey(Player, null=True, on_delete=models.SET_NULL, related_name="+")
    written_at = models.DateTimeField()

    class Meta:
        ordering: ClassVar = ["number", "version"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["course", "number", "version"], name="one_row_per_description_version"),
            models.UniqueConstraint(
                fields=["course", "number"], condition=Q(is_current=True), name="one_current_description"
            ),
            models.CheckConstraint(condition=Q(number__range=(1, 18)), name="described_hole_within_bounds"),
        ]

    def __str__(self) -> str:
        return f"hole {self.number}, version {self.version}"
