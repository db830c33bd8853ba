"""Courses and tees. A `Tee` row is one rated version of a set of tees for one gender; a used version never changes."""

import unicodedata
import uuid
from datetime import date
from decimal import Decimal
from typing import Any, ClassVar

from django.db import models
from django.db.models import F, Q

from league.estimates.outlook import Ground
from league.models.members import Group, LengthUnit, Player, RatedFor
from league.rules import printed, rounding, scorecard
from league.rules.errors import RuleBroken


class HolesInPlay(models.TextChoices):
    EIGHTEEN = "18", "18 holes"
    FRONT = "front", "front nine"
    BACK = "back", "back nine"
    NINE = "nine", "nine holes of a nine-hole course"
    TWICE = "twice", "a nine-hole course played twice"


class Course(models.Model):
    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    group = models.ForeignKey(Group, null=True, blank=True, on_delete=models.CASCADE, related_name="courses")
    owner = models.ForeignKey(Player, null=True, blank=True, on_delete=models.CASCADE, related_name="courses")
    name = models.CharField(max_length=80)
    place = models.CharField(max_length=80, blank=True)
    search_folded = models.CharField(max_length=500, editable=False)
    n_holes = models.PositiveSmallIntegerField(default=18)
    time_zone = models.CharField(max_length=64, blank=True)
    created_at = models.DateTimeField()
    version = models.PositiveIntegerField(default=1)

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(group__isnull=False, owner__isnull=True) | Q(group__isnull=True, owner__isnull=False),
                name="course_of_a_group_or_a_player",
            ),
            models.CheckConstraint(condition=Q(n_holes__in=[9, 18]), name="course_of_9_or_18_holes"),
        ]
        indexes: ClassVar = [models.Index(fields=["name", "id"], name="courses_by_name")]

    def __str__(self) -> str:
        return self.name

    def save(self, *args: Any, **kwargs: Any) -> None:
        """SQLite folds the case of ASCII letters only, so a search looks at a column that was folded here."""
        self.search_folded = fold_for_search(f"{self.name} {self.place}")
        super().save(*args, **kwargs)


def fold_for_search(text: str) -> str:
    return unicodedata.normalize("NFC", unicodedata.normalize("NFC", text).casefold())


class Tee(models.Model):
    """Ratings are stored in whole tenths. `set_id` joins the versions of one set of tees for one gender."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    course = models.ForeignKey(Course, on_delete=models.CASCADE, related_name="tees")
    set_id = models.UUIDField(default=uuid.uuid4, db_index=True)
    name = models.CharField(max_length=40)
    rated_for = models.CharField(max_length=5, choices=RatedFor, default=RatedFor.MEN)
    length_unit = models.CharField(max_length=6, choices=LengthUnit, default=LengthUnit.YARDS)
    course_rating_tenths = models.IntegerField()
    slope_rating = models.PositiveSmallIntegerField()
    front_rating_tenths = models.IntegerField(null=True, blank=True)
    front_slope_rating = models.PositiveSmallIntegerField(null=True, blank=True)
    back_rating_tenths = models.IntegerField(null=True, blank=True)
    back_slope_rating = models.PositiveSmallIntegerField(null=True, blank=True)
    valid_from = models.DateField(null=True, blank=True)
    valid_until = models.DateField(null=True, blank=True)
    created_at = models.DateTimeField()
    version = models.PositiveIntegerField(default=1)

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(slope_rating__range=(55, 155)), name="slope_rating_55_to_155"),
            models.UniqueConstraint(fields=["set_id", "valid_from"], name="one_version_per_first_day"),
            models.CheckConstraint(
                condition=Q(valid_from__isnull=True)
                | Q(valid_until__isnull=True)
                | Q(valid_from__lte=F("valid_until")),
                name="tee_begins_before_it_ends",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name} ({self.rated_for})"

    @property
    def course_rating(self) -> Decimal:
        return rounding.as_decimal(self.course_rating_tenths)

    def is_valid_on(self, day: date) -> bool:
        return (self.valid_from is None or self.valid_from <= day) and (
            self.valid_until is None or day <= self.valid_until
        )

    @property
    def key(self) -> str:
        """Names the set of tees, whatever its version, for the outlook."""
        return str(self.set_id)

    @property
    def ground(self) -> Ground:
        """The tee as an outlook needs it, for eighteen holes; a nine-hole course is played twice."""
        times = 2 if self.course.n_holes == 9 else 1
        return Ground(times * self.course_rating_tenths / 10, self.slope_rating)

    @property
    def usual_holes_in_play(self) -> str:
        return HolesInPlay.NINE if self.course.n_holes == 9 else HolesInPlay.EIGHTEEN

    def in_play(self, holes_in_play: str) -> scorecard.Tee:
        """The rated holes that a round is played on; RuleBroken `holes_in_play` or `nine_not_rated`."""
        whole = self.as_rated()
        allowed = (
            (HolesInPlay.NINE, HolesInPlay.TWICE)
            if whole.n_holes == 9
            else (HolesInPlay.EIGHTEEN, HolesInPlay.FRONT, HolesInPlay.BACK)
        )
        if holes_in_play not in allowed:
            words = " or ".join(f"“{choice.value}”" for choice in allowed)
            raise RuleBroken("holes_in_play", f"This tee has {whole.n_holes} holes: choose {words}.", "holes_in_play")
        if holes_in_play == HolesInPlay.TWICE:
            return whole.twice()
        if holes_in_play in (HolesInPlay.EIGHTEEN, HolesInPlay.NINE):
            return whole
        return self._nine_in_play(whole, is_front=holes_in_play == HolesInPlay.FRONT)

    def _nine_in_play(self, whole: scorecard.Tee, *, is_front: bool) -> scorecard.Tee:
        rating = self.front_rating_tenths if is_front else self.back_rating_tenths
        slope = self.front_slope_rating if is_front else self.back_slope_rating
        if rating is None or slope is None:
            nine = "front" if is_front else "back"
            raise RuleBroken(
                "nine_not_rated",
                f"The {nine} nine of this tee has no rating of its own. Add it to the tee, or post eighteen holes.",
                "holes_in_play",
            )
        return whole.nine(is_front, rounding.as_decimal(rating), slope)

    def as_rated(self) -> scorecard.Tee:
        """The tee as a pure value, for the whole card (nine or eighteen holes)."""
        return scorecard.Tee(
            holes=tuple(
                scorecard.Hole(number=hole.number, par=hole.par, stroke_index=hole.stroke_index)
                for hole in self.holes.all()
            ),
            course_rating=self.course_rating,
            slope_rating=self.slope_rating,
        )

    def as_printed(self) -> printed.PrintedTee:
        """The tee as typed from its card, lengths and validity included."""
        return printed.PrintedTee(
            name=self.name,
            rated_for=self.rated_for,
            length_unit=self.length_unit,
            course_rating=self.course_rating,
            slope_rating=self.slope_rating,
            front_course_rating=_decimal(self.front_rating_tenths),
            front_slope_rating=self.front_slope_rating,
            back_course_rating=_decimal(self.back_rating_tenths),
            back_slope_rating=self.back_slope_rating,
            holes=tuple(
                printed.PrintedHole(hole.number, hole.par, hole.stroke_index, hole.length) for hole in self.holes.all()
            ),
            valid_from=self.valid_from,
            valid_until=self.valid_until,
        )


def _decimal(tenths: int | None) -> Decimal | None:
    return None if tenths is None else rounding.as_decimal(tenths)


class Hole(models.Model):
    id = models.BigAutoField(primary_key=True)
    tee = models.ForeignKey(Tee, on_delete=models.CASCADE, related_name="holes")
    number = models.PositiveSmallIntegerField()
    par = models.PositiveSmallIntegerField()
    stroke_index = models.PositiveSmallIntegerField()
    length = models.PositiveSmallIntegerField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["number"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["tee", "number"], name="one_row_per_hole"),
            models.UniqueConstraint(fields=["tee", "stroke_index"], name="stroke_index_once_per_tee"),
            models.CheckConstraint(
                condition=Q(number__range=(1, 18), par__range=(3, 6), stroke_index__range=(1, 18)),
                name="hole_within_bounds",
            ),
        ]

    def __str__(self) -> str:
        return f"hole {self.number}"
