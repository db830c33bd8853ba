"""An invented group on an invented course, in a database made for the measurement and dropped afterwards."""

from dataclasses import dataclass
from datetime import date, timedelta
from random import Random

from django.utils import timezone

from league.models import Account, Course, Group, Hole, Membership, Player, RatedFor, Role, Tee
from league.services import rounds, tokens
from league.services.rounds import RoundFacts

PARS = (4, 4, 3, 5, 4, 4, 3, 4, 5, 4, 4, 3, 5, 4, 4, 3, 4, 5)
STROKE_INDEXES = (7, 3, 17, 11, 1, 9, 15, 5, 13, 8, 4, 18, 12, 2, 10, 16, 6, 14)
# Histories end this many days ago, and what is posted later comes on the days after.
GAP = timedelta(days=400)


@dataclass(frozen=True)
class World:
    group: Group
    tee: Tee


@dataclass(frozen=True)
class Member:
    """A player with a history, and the token with which posts come in."""

    player: Player
    token: str


def new_world() -> World:
    now = timezone.now()
    group = Group.objects.create(name="Plover Tuesday Group", time_zone="Europe/London", created_at=now)
    course = Course.objects.create(group=group, name="Saltmarsh", time_zone="Europe/London", created_at=now)
    tee = Tee.objects.create(
        course=course,
        name="Reed",
        rated_for=RatedFor.MEN,
        course_rating_tenths=721,
        slope_rating=128,
        created_at=now,
    )
    Hole.objects.bulk_create(
        Hole(tee=tee, number=number, par=par, stroke_index=rank, length=60 + 85 * par)
        for number, (par, rank) in enumerate(zip(PARS, STROKE_INDEXES, strict=True), 1)
    )
    return World(group, tee)


def new_player(world: World, name: str, *, role: str = Role.PLAYER, has_account: bool = True) -> Player:
    """A member; the account has no password, since nobody signs in here by one."""
    email = f"{name.replace(' ', '.').lower()}@example.org"
    account = Account.objects.create_user(email, created_at=timezone.now()) if has_account else None
    player = Player.objects.create(name=name, account=account, joined_on=timezone.now().date() - GAP)
    Membership.objects.create(group=world.group, player=player, role=role, joined_at=timezone.now())
    return player


def give_history(world: World, player: Player, length: int, *, seed: int = 0) -> None:
    """So many past rounds by their totals, one a day."""
    random = Random(seed)
    first = player.joined_on - timedelta(days=length)
    rounds.post_rounds(
        player=player,
        many=[
            RoundFacts(tee=world.tee, played_on=first + timedelta(days=day), gross=random.randint(84, 104))
            for day in range(length)
        ],
        posted_by=player,
    )


def new_member(world: World, name: str, length: int) -> Member:
    player = new_player(world, name)
    give_history(world, player, length)
    assert player.account is not None
    _, value = tokens.make_token(account=player.account, name="benchmark", scopes=["read", "write"], days=1)
    return Member(player, value)


def day_after_history(member: Member, count: int) -> date:
    return member.player.joined_on + timedelta(days=count)
