"""Corrections of described holes in the demo, so that a hole has more than one version. All of it is invented."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from league.models import Course, HoleDescription, Player
from league.reports.descriptions import as_described
from league.services.descriptions import Description, describe_hole


def correct_holes(course: Course, actor: Player, corrections: Iterable[Mapping[str, Any]]) -> None:
    """Each takes one piece of trouble out, counted from 1, and says why."""
    for one in corrections:
        if one["course"] == course.name:
            row = HoleDescription.objects.get(course=course, number=one["hole"], is_current=True)
            hole = as_described(row)
            left = tuple(trouble for place, trouble in enumerate(hole.trouble, 1) if place != one["without_trouble"])
            to = Description(
                hole=replace(hole, trouble=left), length_unit=row.length_unit, measured_from=row.measured_from
            )
            describe_hole(actor=actor, course=course, to=to, reason=one["reason"])
