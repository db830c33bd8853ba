"""Invitation links: made, listed, withdrawn, followed."""

from typing import Any
from uuid import UUID

from django.urls import URLPattern, URLResolver, path
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from league import access
from league.api.base import Answer, Endpoint
from league.api.errors import FieldError, invalid
from league.api.fields import Choice, Flag, Id, Strict, Text, Whole
from league.api.members import MemberOut, located, member_body
from league.api.paging import QUERY as PAGING
from league.api.paging import page, page_of
from league.models import Group, Invitation, Membership, Player, Role
from league.reports import members as reports
from league.services import members as services

LABEL = 80


class InvitationIn(Strict):
    role = Choice(services.INVITED_ROLES, required=False)
    label = Text(LABEL, allow_blank=True, required=False)  # type: ignore[assignment]
    uses = Whole(1, 60, required=False)
    days = Whole(1, 60, required=False)
    guest = Id(required=False, help_text="A player without an account: the link hands their cards over, once.")
    is_under_18 = Flag(required=False)


class InvitationOut(serializers.Serializer[Any]):
    id = Id()
    group = Id()
    role = Choice(Role)
    label = Text(LABEL)  # type: ignore[assignment]
    guest = Id(allow_null=True)
    uses_left = Whole(0, 60)
    is_under_18 = Flag()
    created_at = serializers.DateTimeField()
    ends_at = serializers.DateTimeField()
    withdrawn_at = serializers.DateTimeField(allow_null=True)
    link = serializers.CharField(allow_null=True, help_text="In the first answer to its POST, and never again.")


class JoinIn(Strict):
    link = Text(200, help_text="The address of the invitation, or the last part of it.")
    hides_lines = Flag(required=False)
    is_under_18 = Flag(required=False)


def invitation_body(invitation: Invitation) -> dict[str, Any]:
    return {
        "id": str(invitation.pk),
        "group": str(invitation.group_id),
        "role": invitation.role,
        "label": invitation.label,
        "guest": str(invitation.guest_id) if invitation.guest_id else None,
        "uses_left": invitation.uses_left,
        "is_under_18": invitation.is_under_18,
        "created_at": invitation.created_at,
        "ends_at": invitation.ends_at,
        "withdrawn_at": invitation.withdrawn_at,
        "link": None,
    }


class Invitations(Endpoint):
    query = PAGING

    @extend_schema(responses=page_of(InvitationOut))
    def get(self, request: Request, group_id: UUID) -> Response:
        joined = access.group_to_run(self.account, group_id)
        return Response(page(self, reports.open_invitations(joined.group), invitation_body, ("ends_at", "id")))

    @extend_schema(request=InvitationIn, responses={201: InvitationOut})
    def post(self, request: Request, group_id: UUID) -> Response:
        """The link is in this answer alone; a repeated key hears everything but the link."""
        joined = access.group_to_run(self.account, group_id)
        sent = self.read(InvitationIn)
        if "guest" in sent:
            sent["guest"] = _kept(joined.group, sent["guest"])
        values: list[str] = []

        def act() -> Answer:
            made, value = services.make_invitation(group=joined.group, actor=joined.membership.player, **sent)
            values.append(value)
            return Answer(invitation_body(made), headers=located("api-invitation", made, None))

        response = self.once(request, act)
        for value in values:
            response.data["link"] = request.build_absolute_uri(f"/join/{value}/")
        return response


def _kept(group: Group, player_id: UUID) -> Player:
    place = Membership.objects.filter(group=group, player_id=player_id, left_at=None).select_related("player").first()
    if place is None:
        raise invalid([FieldError("guest", "id", "Send the id of a player of this group who has no account.")])
    return place.player


class InvitationDetail(Endpoint):
    @extend_schema(responses=InvitationOut)
    def get(self, request: Request, invitation_id: UUID) -> Response:
        return Response(invitation_body(access.invitation_to_change(self.account, invitation_id)))

    @extend_schema(responses={204: None})
    def delete(self, request: Request, invitation_id: UUID) -> Response:
        invitation = access.invitation_to_change(self.account, invitation_id)
        services.withdraw_invitation(invitation=invitation, actor=access.own_player(self.account))
        return Response(status=204)


class Join(Endpoint):
    @extend_schema(request=JoinIn, responses={201: MemberOut})
    def post(self, request: Request) -> Response:
        """Into a group by an invitation link."""
        sent = self.read(JoinIn)
        value = sent.pop("link").rstrip("/").rpartition("/")[2]

        def act() -> Answer:
            me = access.own_player(self.account)
            invitation = access.invitation_by_link(value)
            player = services.accept_invitation(invitation=invitation, player=me, **sent)
            place = Membership.objects.select_related("player", "group").get(
                group=invitation.group, player=player, left_at=None
            )
            where = located("api-member", place, place.version)
            return Answer(member_body(reports.member_line(place, place), place), headers=where)

        return self.once(request, act)


urlpatterns: list[URLPattern | URLResolver] = [
    path("groups/<uuid:group_id>/invitations/", Invitations.as_view(), name="api-invitations"),
    path("invitations/<uuid:invitation_id>/", InvitationDetail.as_view(), name="api-invitation"),
    path("join/", Join.as_view(), name="api-join"),
]
