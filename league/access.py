"""The only doors from a person to a row. A row that is hidden answers like one that never existed (404);
a row that may be seen but not touched answers 403. Every door takes the account first and an id second."""

from copy import copy
from dataclasses import dataclass
from enum import StrEnum
from typing import Generic, TypeVar
from uuid import UUID

from django.contrib.auth import authenticate
from django.core.exceptions import PermissionDenied
from django.db.models import Model, Q, QuerySet
from django.http import Http404, HttpRequest, QueryDict
from django.utils import timezone

from league.models import (
    Account,
    Barrier,
    Card,
    CardLine,
    Club,
    Course,
    Group,
    Invitation,
    Membership,
    Plan,
    Player,
    Revision,
    Role,
    Round,
    RoundImport,
    Shot,
    SignIn,
    Tee,
    Token,
)
from league.models.members import fold_email, hash_of

Row = TypeVar("Row", bound=Model)


class Relation(StrEnum):
    """How the person at the door stands to a player; the nearest one counts."""

    OWNER = "owner"
    KEEPER = "keeper"
    ORGANISER = "organiser"
    SCORER = "scorer"
    MATE = "mate"

    @property
    def sees_cards(self) -> bool:
        return self in (Relation.OWNER, Relation.KEEPER)


@dataclass(frozen=True)
class Seen(Generic[Row]):
    row: Row
    relation: Relation


@dataclass(frozen=True)
class Joined:
    """A group together with the membership through which it is seen."""

    group: Group
    membership: Membership

    @property
    def runs_it(self) -> bool:
        return self.membership.role == Role.ORGANISER


def account_by_password(request: HttpRequest, email: str, password: str) -> Account | None:
    """Tries are counted by address typed and network; too many of them answer 429 for a while.

    The counter keeps the form that a failed try came with, and a form may hold a new password too: it sees none.
    """
    bare = copy(request)
    bare.GET, bare.POST = QueryDict(), QueryDict()
    found = authenticate(bare, username=fold_email(email), password=password)
    request.axes_locked_out = getattr(bare, "axes_locked_out", False)  # type: ignore[attr-defined]
    return found if isinstance(found, Account) else None


def own_player(account: Account) -> Player:
    """Looked up once for each account in hand: several doors of one request ask for it."""
    try:
        return account.player
    except Player.DoesNotExist:
        raise Http404 from None


def _key(row_id: str | UUID) -> UUID:
    """One spelling of an id: capitals, braces and ids without hyphens name nothing."""
    if isinstance(row_id, UUID):
        return row_id
    try:
        key = UUID(row_id)
    except (ValueError, TypeError, AttributeError):
        raise Http404 from None
    if str(key) != row_id:
        raise Http404
    return key


def _shared_memberships(me: Player, player: Player) -> list[tuple[Membership, str]]:
    """The player's open memberships in groups that I am in now, each with my role there."""
    mine = dict(
        Membership.objects.filter(player=me, left_at=None).exclude(role=Role.GUEST).values_list("group_id", "role")
    )
    theirs = Membership.objects.filter(player=player, left_at=None, group_id__in=mine)
    return [(membership, mine[membership.group_id]) for membership in theirs]


def relation_to(account: Account, player: Player) -> Relation | None:
    """None for strangers. Players without an account are kept by their keeper and their group's organisers."""
    me = own_player(account)
    if me.pk == player.pk:
        return Relation.OWNER
    shared = _shared_memberships(me, player)
    roles = {role for _, role in shared}
    has_no_account = player.account_id is None and player.erased_at is None
    if has_no_account and (Role.ORGANISER in roles or any(membership.keeper_id == me.pk for membership, _ in shared)):
        return Relation.KEEPER
    for role, relation in ((Role.ORGANISER, Relation.ORGANISER), (Role.SCORER, Relation.SCORER)):
        if role in roles:
            return relation
    return Relation.MATE if shared else None


def player_for(account: Account, player_id: str | UUID) -> Seen[Player]:
    player = Player.objects.filter(pk=_key(player_id)).first()
    relation = relation_to(account, player) if player else None
    if player is None or relation is None:
        raise Http404
    return Seen(player, relation)


def player_to_keep(account: Account, player_id: str | UUID) -> Player:
    """A player whose cards this person may enter: their own, or one without an account that they keep."""
    seen = player_for(account, player_id)
    if not seen.relation.sees_cards:
        raise PermissionDenied
    return seen.row


def hides_lines_from_mates(account: Account, player: Player) -> bool:
    """True when the player shows mates the index only, in every group that the two share."""
    shared = _shared_memberships(own_player(account), player)
    return bool(shared) and all(membership.hides_lines for membership, _ in shared)


def ledger_for(account: Account, player_id: str | UUID) -> Seen[Player]:
    """The ledger's lines. Who hides them shows mates the index only; organisers keep the lines."""
    seen = player_for(account, player_id)
    if seen.relation in (Relation.MATE, Relation.SCORER) and hides_lines_from_mates(account, seen.row):
        raise PermissionDenied
    return seen


def revision_for(account: Account, player_id: str | UUID, number: int) -> tuple[Seen[Player], Revision]:
    seen = ledger_for(account, player_id)
    revision = Revision.objects.filter(player=seen.row, number=number).select_related("event").first()
    if revision is None:
        raise Http404
    return seen, revision


def round_for(account: Account, round_id: str | UUID) -> Seen[Round]:
    played = (
        Round.objects.filter(pk=_key(round_id)).select_related("player", "tee__course", "marker", "attested_by").first()
    )
    relation = relation_to(account, played.player) if played else None
    if played is None or relation is None:
        raise Http404
    if relation in (Relation.MATE, Relation.SCORER) and hides_lines_from_mates(account, played.player):
        raise Http404
    return Seen(played, relation)


def round_to_change(account: Account, round_id: str | UUID) -> Round:
    seen = round_for(account, round_id)
    if not seen.relation.sees_cards:
        raise PermissionDenied
    return seen.row


def round_to_attest(account: Account, round_id: str | UUID) -> Seen[Round]:
    """Anybody of the group but the player and whoever keeps the card (Rule 4.4, peer review)."""
    seen = round_for(account, round_id)
    if seen.relation.sees_cards:
        raise PermissionDenied
    return seen


def visible_players(account: Account) -> QuerySet[Player]:
    me = own_player(account)
    groups = Membership.objects.filter(player=me, left_at=None).exclude(role=Role.GUEST).values("group_id")
    mates = Membership.objects.filter(group_id__in=groups, left_at=None).values("player_id")
    return Player.objects.filter(Q(pk=me.pk) | Q(pk__in=mates), erased_at=None)


def players_in(group: Group) -> QuerySet[Player]:
    """Everybody in a group that somebody has come into by its door, guests included."""
    return Player.objects.filter(memberships__group=group, memberships__left_at=None, erased_at=None)


def kept_players(account: Account) -> QuerySet[Player]:
    """Whose cards this person may enter and read."""
    me = own_player(account)
    run = Membership.objects.filter(player=me, left_at=None, role=Role.ORGANISER).values("group_id")
    mine = Membership.objects.filter(player=me, left_at=None).exclude(role=Role.GUEST).values("group_id")
    kept = Membership.objects.filter(left_at=None).filter(Q(group_id__in=run) | Q(keeper=me, group_id__in=mine))
    return Player.objects.filter(Q(pk=me.pk) | Q(pk__in=kept.values("player_id"), account=None, erased_at=None))


def visible_rounds(account: Account) -> QuerySet[Round]:
    """Cards that this person may read in full; what mates may read of others is their ledger."""
    return Round.objects.filter(player__in=kept_players(account))


def groups_of(account: Account) -> QuerySet[Group]:
    me = own_player(account)
    mine = Membership.objects.filter(player=me, left_at=None).exclude(role=Role.GUEST)
    return Group.objects.filter(pk__in=mine.values("group_id"))


def group_for(account: Account, group_id: str | UUID) -> Joined:
    membership = (
        Membership.objects.filter(group_id=_key(group_id), player__account=account, left_at=None)
        .exclude(role=Role.GUEST)
        .select_related("group", "player")
        .first()
    )
    if membership is None:
        raise Http404
    return Joined(membership.group, membership)


def group_to_run(account: Account, group_id: str | UUID) -> Joined:
    joined = group_for(account, group_id)
    if not joined.runs_it:
        raise PermissionDenied
    return joined


def group_to_add_people_to(account: Account, group_id: str | UUID) -> Joined:
    """Organisers add anybody, scorers add guests (whose cards they then keep)."""
    joined = group_for(account, group_id)
    if joined.membership.role not in (Role.ORGANISER, Role.SCORER):
        raise PermissionDenied
    return joined


def membership_for(account: Account, membership_id: str | UUID) -> tuple[Joined, Membership]:
    membership = Membership.objects.filter(pk=_key(membership_id), left_at=None).select_related("player").first()
    if membership is None:
        raise Http404
    return group_for(account, membership.group_id), membership


def invitation_to_change(account: Account, invitation_id: str | UUID) -> Invitation:
    """Organisers alone know that it exists; other members get the same 404 as strangers."""
    invitation = Invitation.objects.filter(pk=_key(invitation_id)).select_related("group").first()
    if invitation is None or not group_for(account, invitation.group_id).runs_it:
        raise Http404
    return invitation


def invitation_by_link(value: str) -> Invitation:
    """The one door without an account. Guessed, withdrawn, used up and ended links answer alike."""
    found = Invitation.objects.filter(
        token_hash=hash_of(value), withdrawn_at=None, ends_at__gt=timezone.now(), uses_left__gt=0
    )
    invitation = found.filter(group__rests_since=None).select_related("group", "invited_by", "guest").first()
    if invitation is None:
        raise Http404
    return invitation


def was_a_link(value: str) -> bool:
    return Invitation.objects.filter(token_hash=hash_of(value)).exists()


def joined_by_link(account: Account, value: str) -> Joined:
    """For whoever pressed twice: the link may be used up by the first time, but they are in."""
    invitation = Invitation.objects.filter(token_hash=hash_of(value)).first()
    if invitation is None or (invitation.guest_id and invitation.guest_id != own_player(account).pk):
        raise Http404
    return group_for(account, invitation.group_id)


def visible_courses(account: Account) -> QuerySet[Course]:
    me = own_player(account)
    return Course.objects.filter(Q(owner=me) | Q(group__in=groups_of(account)))


def course_for(account: Account, course_id: str | UUID) -> Course:
    course = visible_courses(account).filter(pk=_key(course_id)).select_related("group").first()
    if course is None:
        raise Http404
    return course


def may_change_course(account: Account, course: Course) -> bool:
    if course.group_id is None:
        return course.owner_id == own_player(account).pk
    return group_for(account, course.group_id).runs_it


def course_to_change(account: Account, course_id: str | UUID) -> Course:
    course = course_for(account, course_id)
    if not may_change_course(account, course):
        raise PermissionDenied
    return course


def tee_for(account: Account, tee_id: str | UUID) -> Tee:
    tee = (
        Tee.objects.filter(pk=_key(tee_id), course__in=visible_courses(account))
        .select_related("course")
        .prefetch_related("holes")
        .first()
    )
    if tee is None:
        raise Http404
    return tee


def tee_to_change(account: Account, tee_id: str | UUID) -> Tee:
    tee = tee_for(account, tee_id)
    course_to_change(account, tee.course_id)
    return tee


def import_for(account: Account, import_id: str | UUID) -> RoundImport:
    """Its maker, or the player whose yes it waits for."""
    me = own_player(account)
    found = RoundImport.objects.filter(pk=_key(import_id)).filter(Q(made_by=me) | Q(player=me)).first()
    if found is None:
        raise Http404
    if found.group_id and found.player_id != me.pk:
        group_for(account, found.group_id)
    return found


def import_to_change(account: Account, import_id: str | UUID) -> RoundImport:
    """Whoever keeps the cards of everybody in it; rows that wait for a player are that player's to take."""
    found = import_for(account, import_id)
    players = {row["player"] for row in found.rows}
    if found.player_id is None and kept_players(account).filter(pk__in=players).count() < len(players):
        raise PermissionDenied
    return found


def imports_of(account: Account) -> QuerySet[RoundImport]:
    """Those that `import_for` opens: what somebody read in for a group stays with the group when they go."""
    me = own_player(account)
    made = Q(made_by=me) & (Q(group=None) | Q(group__in=groups_of(account)))
    return RoundImport.objects.filter(made | Q(player=me))


def own_token(account: Account, token_id: str | UUID) -> Token:
    token = Token.objects.filter(pk=_key(token_id), account=account, withdrawn_at=None).first()
    if token is None:
        raise Http404
    return token


def own_sign_in(account: Account, sign_in_id: str | UUID) -> SignIn:
    found = SignIn.objects.filter(pk=_key(sign_in_id), account=account).first()
    if found is None:
        raise Http404
    return found


def own_barrier(account: Account, barrier_id: str | UUID) -> Barrier:
    barrier = Barrier.objects.filter(pk=_key(barrier_id), player=own_player(account)).select_related("tee").first()
    if barrier is None:
        raise Http404
    return barrier


def own_club(account: Account, club_id: str | UUID) -> Club:
    """The carry book is its owner's alone."""
    club = Club.objects.filter(pk=_key(club_id), book=own_player(account).pk).select_related("book__player").first()
    if club is None:
        raise Http404
    return club


def own_shot(account: Account, club_id: str | UUID, shot_id: int) -> Shot:
    club = own_club(account, club_id)
    shot = Shot.objects.filter(pk=shot_id, club=club).select_related("club__book__player").first()
    if shot is None:
        raise Http404
    return shot


def own_shot_list(account: Account, list_id: str | UUID) -> tuple[Player, UUID]:
    """The list is known by what is left of it."""
    player, batch = own_player(account), _key(list_id)
    if not Shot.objects.filter(club__book=player.pk, batch=batch).exists():
        raise Http404
    return player, batch


def people_to_write_for(account: Account) -> QuerySet[Player]:
    """Who may stand on a card that this person opens: oneself, mates with an account, and guests one keeps."""
    mates = visible_players(account).exclude(account=None).values("pk")
    return Player.objects.filter(Q(pk__in=mates) | Q(pk__in=kept_players(account).values("pk")))


def visible_cards(account: Account) -> QuerySet[Card]:
    """Cards that this person opened or stands on, dropped and sent ones too."""
    me = own_player(account)
    return Card.objects.filter(Q(opened_by=me) | Q(pk__in=CardLine.objects.filter(player=me).values("card_id")))


def card_for(account: Account, card_id: str | UUID) -> Card:
    """Whoever may see a card may write on it: its scorer, and those who stand on it."""
    card = visible_cards(account).filter(pk=_key(card_id)).first()
    if card is None:
        raise Http404
    return card


def card_to_change(account: Account, card_id: str | UUID) -> Card:
    """Only whoever opened it."""
    card = card_for(account, card_id)
    if card.opened_by_id != own_player(account).pk:
        raise PermissionDenied
    return card


def card_line_to_answer(account: Account, card_id: str | UUID, line_id: str | UUID) -> CardLine:
    """The yes or no is the player's own."""
    line = CardLine.objects.filter(card=card_for(account, card_id), pk=_key(line_id)).select_related("card").first()
    if line is None:
        raise Http404
    if line.player_id != own_player(account).pk:
        raise PermissionDenied
    return line


def own_plan(account: Account, plan_id: str | UUID) -> Plan:
    """A plan is its owner's alone."""
    held = Plan.objects.filter(pk=_key(plan_id), player=own_player(account))
    plan = held.select_related("tee__course", "player", "round").prefetch_related("holes").first()
    if plan is None:
        raise Http404
    return plan


def own_round(account: Account, round_id: str | UUID) -> Round:
    """One's own card, not one that is kept for somebody."""
    played = Round.objects.filter(pk=_key(round_id), player=own_player(account)).select_related("tee__course").first()
    if played is None:
        raise Http404
    return played
