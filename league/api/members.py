"""Groups, their people and their record; a player as mates see them."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID
from zoneinfo import available_timezones

from django.core.exceptions import PermissionDenied
from django.urls import URLPattern, URLResolver, path, reverse
from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from league import access
from league.api.base import Answer, Endpoint, tagged
from league.api.errors import FieldError, invalid
from league.api.fields import Choice, Day, Flag, Id, Strict, Tenths, Text, Whole
from league.api.paging import QUERY as PAGING
from league.api.paging import page, page_of
from league.models import Account, Group, Invitation, Membership, Player, RatedFor, Role
from league.reports import members as reports
from league.reports.members import AuditLine, MemberLine
from league.rules.rounding import as_decimal
from league.services import leaving
from league.services import members as services

NAME, REASON = 80, 500


@extend_schema_field({"type": "string", "maxLength": 64, "example": "Europe/London"})
class Zone(Text):
    """A name of the zone table, such as Europe/London."""

    def __init__(self, **options: Any) -> None:
        super().__init__(64, **options)

    def to_internal_value(self, data: Any) -> str:
        zone = super().to_internal_value(data)
        if zone not in available_timezones():
            raise serializers.ValidationError("Send the name of a time zone, such as Europe/London.", code="choice")
        return zone


class GroupIn(Strict):
    name = Text(NAME)
    time_zone = Zone()


class GroupOut(serializers.Serializer[Any]):
    id = Id()
    name = Text(NAME)
    time_zone = Text(64)
    role = Choice(Role, help_text="Your own role in it.")
    created_at = serializers.DateTimeField()
    rests_since = serializers.DateTimeField(allow_null=True)


class PersonIn(Strict):
    """Somebody without an account."""

    name = Text(NAME)
    role = Choice([Role.PLAYER, Role.GUEST], required=False)
    rated_for = Choice(RatedFor, required=False)
    is_under_18 = Flag(required=False)


class MemberChangeIn(Strict):
    role = Choice(Role, required=False)
    keeper = Id(required=False, allow_null=True)
    hides_lines = Flag(required=False)


class ReasonIn(Strict):
    reason = Text(REASON, lines=True)


class StandingOut(serializers.Serializer[Any]):
    official = Flag(help_text="Always false: no authorised body issued this index.")
    index = Tenths(allow_null=True)
    low_index = Tenths(allow_null=True)
    n_scores = Whole(0, 999_999)
    provisional = Flag(help_text="True while the index rests on fewer than twenty scores.")


class MemberOut(StandingOut):
    id = Id()
    group = Id()
    player = Id()
    name = Text(NAME + 20)
    role = Choice(Role)
    has_account = Flag()
    keeper = Id(allow_null=True)
    hides_lines = Flag()
    n_rounds = Whole(0, 999_999, allow_null=True)
    last_played_on = Day(allow_null=True)
    joined_at = serializers.DateTimeField()
    is_under_18 = Flag(required=False, help_text="For organisers, and about oneself.")


class AuditOut(serializers.Serializer[Any]):
    id = Id()
    at = serializers.DateTimeField()
    action = Text(40)
    actor = Id(allow_null=True)
    about = Id(allow_null=True)
    words = serializers.CharField()
    reason = Text(REASON, lines=True)
    before = serializers.JSONField(allow_null=True)
    after = serializers.JSONField(allow_null=True)


class PlaceOut(serializers.Serializer[Any]):
    group = Id()
    name = Text(NAME)
    role = Choice(Role)


class PlayerOut(StandingOut):
    id = Id()
    name = Text(NAME)
    has_account = Flag()
    rated_for = Choice(RatedFor)
    groups = PlaceOut(many=True, help_text="Groups that you share.")


class KeptIn(Strict):
    name = Text(NAME, required=False)
    rated_for = Choice(RatedFor, required=False)
    is_under_18 = Flag(required=False, help_text="Once set, only the player or the operator clears it.")


# Rows as answers


def _tenths(count: int | None) -> Any:
    return None if count is None else as_decimal(count)


def standing_body(line: MemberLine | reports.Profile) -> dict[str, Any]:
    return {
        "official": False,
        "index": _tenths(line.index_tenths),
        "low_index": _tenths(line.low_tenths),
        "n_scores": line.n_scores,
        "provisional": line.is_provisional,
    }


def group_body(group: Group, role: str) -> dict[str, Any]:
    return {
        "id": str(group.pk),
        "name": group.name,
        "time_zone": group.time_zone,
        "role": role,
        "created_at": group.created_at,
        "rests_since": group.rests_since,
    }


def member_body(line: MemberLine, reader: Membership) -> dict[str, Any]:
    place = line.membership
    body = {
        "id": str(place.pk),
        "group": str(place.group_id),
        "player": str(place.player_id),
        "name": line.name,
        "role": place.role,
        "has_account": line.has_account,
        "keeper": str(place.keeper_id) if place.keeper_id else None,
        "hides_lines": place.hides_lines,
        "n_rounds": line.n_rounds,
        "last_played_on": line.last_played_on.isoformat() if line.last_played_on else None,
        "joined_at": place.joined_at,
        **standing_body(line),
    }
    if line.is_me or reader.role == Role.ORGANISER:
        body["is_under_18"] = line.player.is_under_18
    return body


def audit_body(line: AuditLine) -> dict[str, Any]:
    entry = line.entry
    return {
        "id": str(entry.pk),
        "at": entry.at,
        "action": entry.action,
        "actor": str(entry.actor_id) if entry.actor_id else None,
        "about": str(entry.about_id) if entry.about_id else None,
        "words": line.words,
        "reason": entry.reason,
        "before": entry.before,
        "after": entry.after,
    }


def places_body(places: list[Membership]) -> list[dict[str, Any]]:
    return [{"group": str(place.group_id), "name": place.group.name, "role": place.role} for place in places]


def player_body(account: Account, player: Player) -> dict[str, Any]:
    seen = reports.profile(player, access.groups_of(account))
    return {
        "id": str(player.pk),
        "name": player.name,
        "has_account": player.account_id is not None,
        "rated_for": player.rated_for,
        "groups": places_body(seen.places),
        **standing_body(seen),
    }


def located(name: str, row: Group | Membership | Invitation, version: int | None) -> Mapping[str, str]:
    tag = {"ETag": f'"{version}"'} if version else {}
    return {"Location": reverse(name, args=[row.pk]), **tag}


# Groups


class Groups(Endpoint):
    query = PAGING

    @extend_schema(responses=page_of(GroupOut))
    def get(self, request: Request) -> Response:
        places = reports.places_of(access.own_player(self.account))
        roles = dict(places.values_list("group_id", "role"))
        found = page(
            self, access.groups_of(self.account), lambda group: group_body(group, roles[group.pk]), ("name", "id")
        )
        return Response(found)

    @extend_schema(request=GroupIn, responses={201: GroupOut})
    def post(self, request: Request) -> Response:
        player = access.own_player(self.account)
        sent = self.read(GroupIn)

        def act() -> Answer:
            place = services.found_group(player=player, **sent)
            where = located("api-group", place.group, place.group.version)
            return Answer(group_body(place.group, place.role), headers=where)

        return self.once(request, act)


class GroupDetail(Endpoint):
    @extend_schema(responses=GroupOut)
    def get(self, request: Request, group_id: UUID) -> Response:
        joined = access.group_for(self.account, group_id)
        return tagged(Response(group_body(joined.group, joined.membership.role)), joined.group.version)

    @extend_schema(request=GroupIn, responses=GroupOut)
    def patch(self, request: Request, group_id: UUID) -> Response:
        joined = access.group_to_run(self.account, group_id)
        role = joined.membership.role
        self.require_match(request, joined.group.version, lambda: group_body(joined.group, role))
        changes = self.read(GroupIn)
        changed = services.change_group(group=joined.group, actor=joined.membership.player, changes=changes)
        return tagged(Response(group_body(changed, role)), changed.version)


class Members(Endpoint):
    query = PAGING

    @extend_schema(responses=page_of(MemberOut))
    def get(self, request: Request, group_id: UUID) -> Response:
        joined = access.group_for(self.account, group_id)
        lines = {line.membership.pk: line for line in reports.group_members(joined.group, joined.membership)}
        here = Membership.objects.filter(pk__in=lines)
        found = page(self, here, lambda place: member_body(lines[place.pk], joined.membership), ("joined_at", "id"))
        return Response(found)

    @extend_schema(request=PersonIn, responses={201: MemberOut})
    def post(self, request: Request, group_id: UUID) -> Response:
        """Somebody without an account: organisers add players and guests, scorers guests."""
        joined = access.group_to_add_people_to(self.account, group_id)
        sent = self.read(PersonIn)
        sent.setdefault("role", Role.PLAYER if joined.runs_it else Role.GUEST)
        if not joined.runs_it and sent["role"] != Role.GUEST:
            raise PermissionDenied

        def act() -> Answer:
            place = services.add_player(group=joined.group, actor=joined.membership.player, **sent)
            line = reports.member_line(place, joined.membership)
            where = located("api-member", place, place.version)
            return Answer(member_body(line, joined.membership), headers=where)

        return self.once(request, act)


class MemberDetail(Endpoint):
    def _body(self, place: Membership, reader: Membership) -> dict[str, Any]:
        return member_body(reports.member_line(place, reader), reader)

    @extend_schema(responses=MemberOut)
    def get(self, request: Request, membership_id: UUID) -> Response:
        joined, place = access.membership_for(self.account, membership_id)
        return tagged(Response(self._body(place, joined.membership)), place.version)

    @extend_schema(request=MemberChangeIn, responses=MemberOut)
    def patch(self, request: Request, membership_id: UUID) -> Response:
        """Organisers change the role and the keeper; what mates see of the ledger is the member's own choice."""
        joined, place = access.membership_for(self.account, membership_id)
        is_own = place.pk == joined.membership.pk
        if not is_own and not joined.runs_it:
            raise PermissionDenied
        self.require_match(request, place.version, lambda: self._body(place, joined.membership))
        changes = self.read(MemberChangeIn)
        if ("hides_lines" in changes and not is_own) or ({"role", "keeper"} & set(changes) and not joined.runs_it):
            raise PermissionDenied
        _check_role(place, changes)
        if changes.get("keeper"):
            changes["keeper"] = _mate(joined.group, changes["keeper"], "keeper")
        actor = joined.membership.player
        changed = services.change_membership(membership=place, actor=actor, changes=changes)
        return tagged(Response(self._body(changed, joined.membership)), changed.version)

    @extend_schema(request=ReasonIn, responses={204: None})
    def delete(self, request: Request, membership_id: UUID) -> Response:
        """Leaving, or for organisers removing somebody, which takes a reason that the person reads."""
        joined, place = access.membership_for(self.account, membership_id)
        is_own = place.pk == joined.membership.pk
        if not is_own and not joined.runs_it:
            raise PermissionDenied
        self.require_match(request, place.version, lambda: self._body(place, joined.membership))
        if is_own:
            services.leave_group(membership=place)
        else:
            reason = self.read(ReasonIn)["reason"]
            services.remove_member(membership=place, actor=joined.membership.player, reason=reason)
        return Response(status=204)


def _check_role(place: Membership, changes: dict[str, Any]) -> None:
    if changes.get("role") == Role.GUEST and place.player.account_id is not None:
        raise invalid([FieldError("role", "choice", "A guest is somebody without an account; choose another role.")])


def _mate(group: Group, player_id: UUID, field: str) -> Player:
    """Somebody of this group who has an account."""
    places = Membership.objects.filter(group=group, player_id=player_id, left_at=None)
    place = places.exclude(player__account=None).select_related("player").first()
    if place is None:
        raise invalid([FieldError(field, "id", "Send the id of a player of this group who has an account.")])
    return place.player


# The record, and one player


class Audit(Endpoint):
    query = PAGING

    @extend_schema(responses=page_of(AuditOut))
    def get(self, request: Request, group_id: UUID) -> Response:
        """The whole record for organisers; what concerns oneself for everybody else."""
        joined = access.group_for(self.account, group_id)
        about = None if joined.runs_it else joined.membership.player
        names = reports.names_in(joined.group)
        rows = reports.audit_entries(joined.group, about=about)
        return Response(page(self, rows, lambda row: audit_body(reports.audit_line(row, names)), ("-at", "-id")))


class PlayerDetail(Endpoint):
    @extend_schema(responses=PlayerOut)
    def get(self, request: Request, player_id: UUID) -> Response:
        player = access.player_for(self.account, player_id).row
        return tagged(Response(player_body(self.account, player)), player.version)

    @extend_schema(request=KeptIn, responses=PlayerOut)
    def patch(self, request: Request, player_id: UUID) -> Response:
        """Somebody without an account, by whoever keeps their cards; one's own profile is at /me/."""
        player = self._kept(player_id)
        self.require_match(request, player.version, lambda: player_body(self.account, player))
        changes = self.read(KeptIn)
        if player.is_under_18 and changes.get("is_under_18") is False:
            raise PermissionDenied
        actor = access.own_player(self.account)
        changed = services.change_profile(player=player, actor=actor, changes=changes)
        return tagged(Response(player_body(self.account, changed)), changed.version)

    @extend_schema(responses={204: None})
    def delete(self, request: Request, player_id: UUID) -> Response:
        """Erases somebody without an account, at once: name, cards and ledger. For organisers."""
        player = self._kept(player_id)
        me = access.own_player(self.account)
        run = Membership.objects.filter(player=me, left_at=None, role=Role.ORGANISER).values("group_id")
        if not Membership.objects.filter(player=player, left_at=None, group_id__in=run).exists():
            raise PermissionDenied
        self.require_match(request, player.version, lambda: player_body(self.account, player))
        leaving.erase_guest(player=player, actor=me)
        return Response(status=204)

    def _kept(self, player_id: UUID) -> Player:
        player = access.player_for(self.account, player_id).row
        if player.account_id is not None:
            raise PermissionDenied
        return access.player_to_keep(self.account, player_id)


urlpatterns: list[URLPattern | URLResolver] = [
    path("groups/", Groups.as_view(), name="api-groups"),
    path("groups/<uuid:group_id>/", GroupDetail.as_view(), name="api-group"),
    path("groups/<uuid:group_id>/members/", Members.as_view(), name="api-members"),
    path("groups/<uuid:group_id>/audit/", Audit.as_view(), name="api-audit"),
    path("members/<uuid:membership_id>/", MemberDetail.as_view(), name="api-member"),
    path("players/<uuid:player_id>/", PlayerDetail.as_view(), name="api-player"),
]
