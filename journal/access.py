"""The doors of the journal. Everything opens for its owner alone, staff included among the others; a look-back that was
shared opens for its readers too, by `look_back_for` and no other way. What is hidden answers like what never existed.
"""

from typing import TypeVar
from uuid import UUID

from django.db.models import Exists, F, Model, OuterRef, Q, QuerySet
from django.http import Http404
from django.utils import timezone

from journal.models import GuardianDecision, Intention, LookBack, Reset, Routine, Share, State
from league import access
from league.access import Relation
from league.models import Account, CardLine, Group, Membership, Player, Role, Round, Tee
from league.models.members import hash_of

Row = TypeVar("Row", bound=Model)


def own_player(account: Account) -> Player:
    return access.own_player(account)


def _own(rows: QuerySet[Row], account: Account, row_id: UUID) -> Row:
    found = rows.filter(pk=row_id, player=own_player(account)).first()
    if found is None:
        raise Http404
    return found


def own_intention(account: Account, intention_id: UUID) -> Intention:
    return _own(Intention.objects.select_related("tee__course", "round"), account, intention_id)


def own_intentions(account: Account) -> QuerySet[Intention]:
    return Intention.objects.filter(player=own_player(account)).select_related("tee__course", "round")


def own_reset(account: Account, reset_id: UUID) -> Reset:
    return _own(Reset.objects.select_related("line__round", "round"), account, reset_id)


def own_resets(account: Account) -> QuerySet[Reset]:
    return Reset.objects.filter(player=own_player(account)).select_related("line__round", "round")


def own_routine(account: Account) -> Routine | None:
    return Routine.objects.filter(player=own_player(account)).first()


def own_look_back(account: Account, look_back_id: UUID) -> LookBack:
    return _own(LookBack.objects.select_related("round__tee__course"), account, look_back_id)


def own_look_backs(account: Account) -> QuerySet[LookBack]:
    return LookBack.objects.filter(player=own_player(account)).select_related("round__tee__course")


def own_round(account: Account, round_id: UUID) -> Round:
    """A round of one's own; whoever may read it otherwise, a mate or a keeper, has no journal about it."""
    seen = access.round_for(account, round_id)
    if seen.relation is not Relation.OWNER:
        raise Http404
    return seen.row


def own_line(account: Account, line_id: UUID) -> CardLine:
    found = CardLine.objects.filter(pk=line_id, player=own_player(account)).select_related("round").first()
    if found is None:
        raise Http404
    return found


def tee_for(account: Account, tee_id: UUID | str) -> Tee:
    return access.tee_for(account, tee_id)


def tees_of(account: Account) -> list[Tee]:
    """Tees of the courses that this person sees, the newest version of each set, by course."""
    found = Tee.objects.filter(course__in=access.visible_courses(account)).select_related("course")
    ordered = found.order_by("course__name", "course_id", "name", "rated_for", "valid_from")
    return list({tee.set_id: tee for tee in ordered}.values())


def usual_tee(player: Player, tees: list[Tee]) -> Tee | None:
    """The one played last, else the home tee, else none: a range is of one tee."""
    sets = {tee.set_id: tee for tee in tees}
    last = Round.objects.filter(player=player).select_related("tee").order_by("-played_on", "-order_in_day").first()
    known = (last.tee if last else None, player.home_tee)
    return next((sets[tee.set_id] for tee in known if tee is not None and tee.set_id in sets), None)


def own_groups(account: Account) -> list[Group]:
    return list(access.groups_of(account).order_by("name", "pk"))


def own_group(account: Account, group_id: UUID | str) -> Group:
    return access.group_for(account, group_id).group


def _still_in(who: str) -> Exists:
    """In the group of the share ever since it was shared: leaving it withdraws, and coming back does not undo that."""
    return Exists(
        Membership.objects.filter(
            player=OuterRef(who), group=OuterRef("group"), left_at=None, joined_at__lte=OuterRef("shared_at")
        ).exclude(role=Role.GUEST)
    )


def shares_with(account: Account) -> QuerySet[Share]:
    """What others let this person read now."""
    found = Share.objects.filter(reader=own_player(account), look_back__state=State.DONE)
    open_ones = found.filter(_still_in("reader"), _still_in("look_back__player"))
    return open_ones.select_related("look_back__player", "look_back__round__tee__course", "group")


def look_back_for(account: Account, look_back_id: UUID) -> Share:
    """The one door for somebody else's look-back."""
    found = shares_with(account).filter(look_back_id=look_back_id).first()
    if found is None:
        raise Http404
    return found


def readers_of(look_back: LookBack) -> QuerySet[Share]:
    """Who can read it now; those who left the group since are not among them."""
    found = Share.objects.filter(look_back=look_back).filter(_still_in("reader"), _still_in("look_back__player"))
    return found.select_related("reader", "group").order_by("reader__name_folded", "pk")


def possible_readers(account: Account, group: Group) -> QuerySet[Player]:
    """Members of the group who can open a page of it, but for oneself."""
    there = Membership.objects.filter(group=group, left_at=None).exclude(role=Role.GUEST).values("player_id")
    found = Player.objects.filter(pk__in=there, erased_at=None).exclude(account=None)
    return found.exclude(pk=own_player(account).pk).order_by("name_folded", "pk")


def decision_by_link(value: str) -> GuardianDecision:
    """The guardian's door, without an account. Late and guessed links answer alike; one that answered stays open."""
    is_open = Q(ends_at__gt=timezone.now()) | Q(decided_at__gte=F("asked_at"))
    found = GuardianDecision.objects.filter(is_open, link_hash=hash_of(value), player__erased_at=None)
    decision = found.select_related("player__account").first()
    if decision is None:
        raise Http404
    return decision


def decision_about(player: Player) -> GuardianDecision | None:
    return GuardianDecision.objects.filter(player=player).first()


def latest_first(rows: QuerySet[Row]) -> QuerySet[Row]:
    return rows.order_by(F("played_on").desc(), "-pk")
