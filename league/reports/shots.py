"""Lists of measured shots that were stored together."""

import uuid
from dataclasses import dataclass
from datetime import date

from django.db.models import Count, Max, Min

from league.models import Player, Shot


@dataclass(frozen=True)
class ShotList:
    """`first_on` and `last_on` are None where no shot of the list has a day."""

    batch: uuid.UUID
    n_shots: int
    n_clubs: int
    first_on: date | None
    last_on: date | None


def shot_lists(player: Player) -> list[ShotList]:
    """What is left of each list, the newest first."""
    rows = (
        Shot.objects.filter(club__book__player=player, batch__isnull=False)
        .values("batch")
        .annotate(
            n_shots=Count("pk"),
            n_clubs=Count("club", distinct=True),
            first_on=Min("hit_on"),
            last_on=Max("hit_on"),
            newest=Max("pk"),
        )
        .order_by("-newest")
    )
    return [
        ShotList(row["batch"], row["n_shots"], row["n_clubs"], row["first_on"], row["last_on"])
        for row in rows
        if row["batch"] is not None
    ]
