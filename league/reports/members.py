"""Who is in a group and where each stands; what the group's record says; what waits for the organiser."""

import uuid
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Count, F, Max, Q, QuerySet
from django.utils import timezone

from league.models import AuditEntry, Group, Invitation, Membership, Player, Role, Round, RoundImport, RoundState

FIRM_FROM = 20
"""Scores from which an index rests on a full record and a low index exists (Rules 5.2 and 5.7)."""


@dataclass(frozen=True, kw_only=True)
class MemberLine:
    """`n_rounds` and `last_played_on` are None for a reader to whom this member shows the index only."""

    membership: Membership
    name: str
    index_tenths: int | None
    low_tenths: int | None
    n_scores: int
    is_provisional: bool
    n_rounds: int | None
    last_played_on: date | None
    is_me: bool

    @property
    def player(self) -> Player:
        return self.membership.player

    @property
    def has_account(self) -> bool:
        return self.player.account_id is not None


@dataclass(frozen=True, kw_only=True)
class AuditLine:
    entry: AuditEntry
    words: str


@dataclass(frozen=True, kw_only=True)
class Desk:
    """What waits for an organiser."""

    invitations: list[Invitation]
    members: list[MemberLine]
    imports: list[RoundImport]
    unattested: list[tuple[Round, str]]

    @property
    def n_waiting(self) -> int:
        return len(self.imports) + len(self.unattested)


def shown_names(players: Iterable[Player]) -> dict[uuid.UUID, str]:
    """Names told apart: the first of a name (in the order given) keeps it plain, the next is "Ann Moor (2)".

    An erased person is "former player 1", counted by the moment of leaving, so that a number never changes hands.
    """
    listed = list({player.pk: player for player in players}.values())
    former = sorted((one for one in listed if one.erased_at), key=lambda one: (one.erased_at, one.pk))
    names = {player.pk: f"former player {number}" for number, player in enumerate(former, 1)}
    seen: Counter[str] = Counter()
    for player in listed:
        if player.pk not in names:
            seen[player.name_folded] += 1
            number = seen[player.name_folded]
            names[player.pk] = player.name if number == 1 else f"{player.name} ({number})"
    return names


def _places(group: Group) -> QuerySet[Membership]:
    """Everybody who is or was in the group, in the order in which they came."""
    return Membership.objects.filter(group=group).select_related("player").order_by("joined_at", "pk")


def names_in(group: Group) -> dict[uuid.UUID, str]:
    """The shown name of everybody who is or was in the group."""
    return shown_names(place.player for place in _places(group))


def group_members(group: Group, reader: Membership) -> list[MemberLine]:
    """Lowest index first, then those without one, by name."""
    places = list(_places(group).select_related("player__standing", "keeper"))
    names = shown_names(place.player for place in places)
    present = [place for place in places if place.left_at is None]
    record = _record_of([place.player_id for place in present])
    lines = [_member_line(place, names, record, reader) for place in present]
    return sorted(lines, key=lambda line: (line.index_tenths is None, line.index_tenths or 0, line.name.casefold()))


def member_line(membership: Membership, reader: Membership) -> MemberLine:
    names = names_in(membership.group)
    return _member_line(membership, names, _record_of([membership.player_id]), reader)


def _record_of(player_ids: Sequence[uuid.UUID]) -> dict[uuid.UUID, tuple[int, date]]:
    standing = Round.objects.filter(player_id__in=player_ids, state=RoundState.STANDING)
    counted = standing.values("player_id").annotate(n=Count("pk"), last=Max("played_on"))
    return {row["player_id"]: (row["n"], row["last"]) for row in counted}


def _member_line(
    place: Membership,
    names: dict[uuid.UUID, str],
    record: dict[uuid.UUID, tuple[int, date]],
    reader: Membership,
) -> MemberLine:
    is_me = place.player_id == reader.player_id
    shows_lines = is_me or reader.role == Role.ORGANISER or not place.hides_lines
    n_rounds, last_played_on = record.get(place.player_id, (0, None))
    standing = getattr(place.player, "standing", None)
    n_scores = standing.n_scores if standing else 0
    return MemberLine(
        membership=place,
        name=names[place.player_id],
        index_tenths=standing.index_tenths if standing else None,
        low_tenths=standing.low_tenths if standing else None,
        n_scores=n_scores,
        is_provisional=n_scores < FIRM_FROM,
        n_rounds=n_rounds if shows_lines else None,
        last_played_on=last_played_on if shows_lines else None,
        is_me=is_me,
    )


# The record of who did what

# What was done, said of somebody else and said alone (or of oneself).
ACTIONS = {
    "group_founded": ("founded the group for", "founded the group"),
    "group_changed": ("changed the group for", "changed the group"),
    "invited": ("made a claim link for", "made an invitation"),
    "invitation_withdrawn": ("withdrew the claim link for", "withdrew an invitation"),
    "joined": ("brought in", "joined"),
    "added": ("added", "added somebody"),
    "member_changed": ("changed the place of", "changed their own place"),
    "removed": ("removed", "removed somebody"),
    "left": ("saw off", "left"),
    "renamed": ("changed the name of", "changed their own name"),
    "erasure_asked": ("asked to erase", "asked to be erased"),
    "erasure_called_off": ("kept", "stayed after all"),
    "exported": ("took an archive of", "took an archive"),
    "round_attested": ("attested a card of", "attested a card"),
    "attestation_ended": ("ended the attestation of a card of", "ended an attestation"),
    "round_corrected": ("corrected a card of", "corrected a card"),
    "round_withdrawn": ("withdrew a card of", "withdrew a card"),
    "card_dropped": ("dropped a card with", "dropped a card"),
    "course_made": ("entered a course for", "entered a course"),
    "course_changed": ("changed a course for", "changed a course"),
    "course_deleted": ("deleted a course for", "deleted a course"),
    "holes_described": ("described holes for", "described holes"),
    "tee_made": ("entered a tee for", "entered a tee"),
    "tee_changed": ("changed a tee for", "changed a tee"),
    "tee_rerated": ("re-rated a tee for", "re-rated a tee"),
    "tee_deleted": ("deleted a tee for", "deleted a tee"),
    "import_applied": ("stored past rounds of", "stored past rounds"),
    "import_undone": ("took back past rounds of", "took back past rounds"),
}
CHANGES_SHOWN = {"group_changed", "member_changed", "renamed"}


def audit_entries(group: Group, *, about: Player | None = None) -> QuerySet[AuditEntry]:
    """Newest first; `about` narrows it to what one person did or had done to them."""
    entries = AuditEntry.objects.filter(group=group)
    if about is not None:
        entries = entries.filter(Q(about=about) | Q(actor=about))
    return entries.select_related("actor", "about").order_by("-at", "-pk")


def audit_of_person(player: Player) -> QuerySet[AuditEntry]:
    entries = AuditEntry.objects.filter(Q(about=player) | Q(actor=player))
    return entries.select_related("group", "actor", "about").order_by("at", "pk")


def audit_line(entry: AuditEntry, names: Mapping[uuid.UUID, str]) -> AuditLine:
    return AuditLine(entry=entry, words=_audit_words(entry, names))


def audit_lines(group: Group, entries: Iterable[AuditEntry]) -> list[AuditLine]:
    names = names_in(group)
    return [audit_line(entry, names) for entry in entries]


def _audit_words(entry: AuditEntry, names: Mapping[uuid.UUID, str]) -> str:
    actor = names.get(entry.actor_id, "a former member") if entry.actor_id else "the service"
    about = names.get(entry.about_id, "") if entry.about_id else ""
    if entry.action == "erased":
        return f"{about} was erased"
    plain = entry.action.replace("_", " ")
    of_somebody, alone = ACTIONS.get(entry.action, (f"{plain} of", plain))
    said = f"{actor} {of_somebody} {about}" if about and entry.about_id != entry.actor_id else f"{actor} {alone}"
    changed = _changes(entry, names)
    return f"{said}: {changed}" if changed else said


def _changes(entry: AuditEntry, names: Mapping[uuid.UUID, str]) -> str:
    before, after = entry.before or {}, entry.after or {}
    if entry.action not in CHANGES_SHOWN:
        return ""
    known = {str(player_id): name for player_id, name in names.items()}
    return ", ".join(
        f"{field.replace('_', ' ')} {known.get(str(before.get(field)), before.get(field))} → "
        f"{known.get(str(value), value)}"
        for field, value in after.items()
    )


# The organiser's desk


def open_invitations(group: Group) -> QuerySet[Invitation]:
    open_ones = Invitation.objects.filter(group=group, withdrawn_at=None, ends_at__gt=timezone.now(), uses_left__gt=0)
    return open_ones.select_related("invited_by", "guest").order_by("ends_at", "pk")


def desk(group: Group, reader: Membership) -> Desk:
    members = group_members(group, reader)
    names = {line.player.pk: line.name for line in members}
    return Desk(
        invitations=list(open_invitations(group)),
        members=members,
        imports=list(
            RoundImport.objects.filter(group=group, state="ready").select_related("player").order_by("created_at")
        ),
        unattested=[(played, names[played.player_id]) for played in _unattested(list(names))],
    )


def _unattested(player_ids: Sequence[uuid.UUID]) -> QuerySet[Round]:
    """Cards posted one by one since their player came; whoever brings past rounds from a file needs no signatures."""
    cards = Round.objects.filter(
        player_id__in=player_ids, state=RoundState.STANDING, attested_at=None, from_import=None
    )
    since = cards.filter(played_on__gte=F("player__joined_on"))
    return since.select_related("tee__course", "player").order_by("-played_on", "-order_in_day")[:100]


# One person


@dataclass(frozen=True, kw_only=True)
class Profile:
    """What a group mate may see of a player: name, roles in the groups they share, index."""

    player: Player
    places: list[Membership]
    index_tenths: int | None
    low_tenths: int | None
    n_scores: int
    is_provisional: bool


def profile(player: Player, shared_groups: Iterable[Group]) -> Profile:
    places = Membership.objects.filter(player=player, group__in=shared_groups, left_at=None).select_related("group")
    standing = getattr(player, "standing", None)
    n_scores = standing.n_scores if standing else 0
    return Profile(
        player=player,
        places=list(places.order_by("joined_at")),
        index_tenths=standing.index_tenths if standing else None,
        low_tenths=standing.low_tenths if standing else None,
        n_scores=n_scores,
        is_provisional=n_scores < FIRM_FROM,
    )


def places_of(player: Player) -> QuerySet[Membership]:
    """Open places, the first group first: the one that stands in the head of every page."""
    places = Membership.objects.filter(player=player, left_at=None).exclude(role=Role.GUEST)
    return places.select_related("group").order_by("joined_at", "pk")


def places_left(player: Player) -> QuerySet[Membership]:
    return Membership.objects.filter(player=player).exclude(left_at=None).select_related("group").order_by("-left_at")


def only_organiser_of(player: Player) -> list[Group]:
    """Groups that would be left without an organiser."""
    mine = Membership.objects.filter(player=player, left_at=None, role=Role.ORGANISER)
    others = Membership.objects.filter(left_at=None, role=Role.ORGANISER).exclude(player=player)
    groups = Group.objects.filter(pk__in=mine.values("group_id")).exclude(pk__in=others.values("group_id"))
    return list(groups.order_by("name"))


@dataclass(frozen=True, kw_only=True)
class SheetFacts:
    """What the contents of every page say now."""

    player: Player
    place: Membership | None
    index_tenths: int | None
    n_rounds: int
    last_played_on: date | None
    n_revisions: int
    n_members: int
    n_courses: int


def sheet_facts(player: Player, group_id: str = "") -> SheetFacts:
    """Two statements: the places with their counts, and the player's own counts."""
    places = list(places_of(player).annotate(n_members=_n_members(), n_courses=Count("group__courses", distinct=True)))
    chosen = next((place for place in places if str(place.group_id) == group_id), None)
    place = chosen or (places[0] if places else None)
    standing_rounds = Q(rounds__state=RoundState.STANDING)
    counts = Player.objects.filter(pk=player.pk).aggregate(
        n_rounds=Count("rounds", filter=standing_rounds, distinct=True),
        last_played_on=Max("rounds__played_on", filter=standing_rounds),
        last_number=Max("standing__last_number"),
        index_tenths=Max("standing__index_tenths"),
    )
    return SheetFacts(
        player=player,
        place=place,
        index_tenths=counts["index_tenths"],
        n_rounds=counts["n_rounds"],
        last_played_on=counts["last_played_on"],
        n_revisions=counts["last_number"] or 0,
        n_members=getattr(place, "n_members", 0),
        n_courses=getattr(place, "n_courses", 0),
    )


def _n_members() -> Count:
    return Count("group__memberships", filter=Q(group__memberships__left_at=None), distinct=True)
