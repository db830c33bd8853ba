"""The people and the course that every test starts from; plain functions, one row or a few at a time.

Always the same: ann posts, ben organises ann's group, cat is a stranger with a group of her own, dan is a mate of
ann's, eve is a guest there without an account, kept by ann. All are invented.
"""

import itertools
import uuid
from dataclasses import dataclass
from datetime import date

from django.test import Client
from django.utils import timezone

from league.models import (
    Account,
    CardEvent,
    Course,
    Erasure,
    Group,
    Hole,
    Membership,
    Player,
    RatedFor,
    Revision,
    Role,
    Tee,
)

PASSWORD = "heather-on-the-9th"
JOINED_ON = date(2026, 1, 1)
PARS = (4, 4, 3, 5, 4, 4, 3, 4, 5, 4, 4, 3, 5, 4, 4, 3, 4, 5)
STROKE_INDEXES = (7, 3, 17, 11, 1, 9, 15, 5, 13, 8, 4, 18, 12, 2, 10, 16, 6, 14)

_numbers = itertools.count(1)


@dataclass(frozen=True)
class People:
    """Everybody as a player; `ann.account` signs in with `PASSWORD`."""

    ann: Player
    ben: Player
    cat: Player
    dan: Player
    eve: Player
    group: Group
    other_group: Group


def account(email: str, password: str = PASSWORD) -> Account:
    return Account.objects.create_user(email, password, created_at=timezone.now())


def player(
    name: str, *, has_account: bool = True, rated_for: str = RatedFor.WOMEN, joined_on: date = JOINED_ON
) -> Player:
    email = f"{name.casefold().replace(' ', '.')}{next(_numbers)}@example.org"
    return Player.objects.create(
        name=name, account=account(email) if has_account else None, rated_for=rated_for, joined_on=joined_on
    )


def group(name: str = "Lapwing Friday Group", time_zone: str = "Europe/London") -> Group:
    return Group.objects.create(name=name, time_zone=time_zone, created_at=timezone.now())


def membership(group: Group, player: Player, role: str = Role.PLAYER, keeper: Player | None = None) -> Membership:
    return Membership.objects.create(group=group, player=player, role=role, keeper=keeper, joined_at=timezone.now())


def people() -> People:
    ann, ben, cat, dan = player("Ann"), player("Ben", rated_for=RatedFor.MEN), player("Cat"), player("Dan")
    eve = player("Eve", has_account=False)
    ours, hers = group(), group("Curlew Monday Group")
    membership(ours, ben, Role.ORGANISER)
    membership(ours, ann)
    membership(ours, dan)
    membership(ours, eve, Role.GUEST, keeper=ann)
    membership(hers, cat, Role.ORGANISER)
    return People(ann=ann, ben=ben, cat=cat, dan=dan, eve=eve, group=ours, other_group=hers)


def signed_in(player: Player) -> Client:
    """A browser in which this player is signed in; its answers are looked at, so nothing is raised through."""
    client = Client(raise_request_exception=False)
    assert player.account is not None
    client.force_login(player.account, backend="django.contrib.auth.backends.ModelBackend")
    return client


def course(group: Group, name: str = "Marsh Links", n_holes: int = 18) -> Course:
    return Course.objects.create(
        group=group, name=name, n_holes=n_holes, time_zone=group.time_zone, created_at=timezone.now()
    )


def tee(
    course: Course,
    name: str = "Heron",
    *,
    rated_for: str = RatedFor.WOMEN,
    rating_tenths: int = 721,
    slope: int = 128,
    valid_from: date | None = None,
) -> Tee:
    """A tee of 18 holes (or the first nine of them), par 72, rated for the whole and for each nine."""
    is_long = course.n_holes == 18
    half = rating_tenths // 2
    made = Tee.objects.create(
        course=course,
        name=name,
        rated_for=rated_for,
        course_rating_tenths=rating_tenths if is_long else half,
        slope_rating=slope,
        front_rating_tenths=half if is_long else None,
        front_slope_rating=slope if is_long else None,
        back_rating_tenths=rating_tenths - half if is_long else None,
        back_slope_rating=slope if is_long else None,
        valid_from=valid_from,
        created_at=timezone.now(),
    )
    indexes = STROKE_INDEXES[: course.n_holes]
    Hole.objects.bulk_create(
        Hole(tee=made, number=number, par=par, stroke_index=sorted(indexes).index(rank) + 1, length=60 + 85 * par)
        for number, par, rank in zip(range(1, course.n_holes + 1), PARS, indexes, strict=False)
    )
    return made


def let_go_of_the_ledger() -> None:
    """Empty it after real commits; its guards let go of a player under erasure only."""
    players = set(CardEvent.objects.values_list("player_id", flat=True))
    Erasure.objects.bulk_create(
        Erasure(id=uuid.uuid4(), player_number=player, begun_at=timezone.now()) for player in players
    )
    Revision.objects.all().delete()
    CardEvent.objects.all().delete()
