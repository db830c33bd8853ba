"""Look-backs over the API: drafts, finished and skipped ones; searching one's own words; sharing one; all of it out."""

from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.urls import URLPattern, URLResolver, path
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from journal import access
from journal.api.base import Private
from journal.api.before import IntentionOut, intention_out
from journal.archive import as_text
from journal.models import Cause, Kept, LookBack, Share, State
from journal.readings import fell_of, found_in, intention_of, what_became
from journal.services import look_backs
from journal.services.leaving import erase_journal
from league.access import account_by_password
from league.api import fields
from league.api.base import Answer, tagged
from league.api.errors import FieldError, invalid
from league.api.paging import QUERY, page, page_of
from league.models import Group, Player

WORDS = 600
SEARCH = 100


class LookBackNew(fields.Strict):
    round = fields.Id(help_text="Your own round.")


class LookBackChange(fields.Strict):
    state = fields.Choice(State, required=False)
    worst_hole = fields.Whole(1, 18, required=False, allow_null=True)
    cause = fields.Choice(["", *Cause.values], required=False)
    hole_words = fields.Text(WORDS, lines=True, required=False, allow_blank=True)
    plan_kept = fields.Choice(["", *Kept.values], required=False)
    keep = fields.Text(WORDS, lines=True, required=False, allow_blank=True)
    change = fields.Text(WORDS, lines=True, required=False, allow_blank=True)


class LookBackOut(serializers.Serializer[Any]):
    id = fields.Id()
    round = fields.Id(allow_null=True)
    played_on = fields.Day()
    state = fields.Choice(State)
    worst_hole = fields.Whole(1, 18, allow_null=True)
    cause = fields.Text(9, help_text="decision, execution, luck, or empty.")
    hole_words = fields.Text(WORDS)
    plan_kept = fields.Text(6, help_text="yes, partly, no, none, or empty.")
    keep = fields.Text(WORDS)
    change = fields.Text(WORDS)
    created_at = serializers.DateTimeField()
    finished_at = serializers.DateTimeField(allow_null=True)
    version = fields.Whole(1, 99999)


class LookBackWholeOut(LookBackOut):
    intention = fields.Id(allow_null=True, help_text="What you meant for that round.")
    fell = fields.Text(200, help_text="Where the score fell in the range told before it; empty when there was none.")


class SharedOut(serializers.Serializer[Any]):
    id = fields.Id()
    player = fields.Id()
    name = fields.Text(80)
    group = fields.Id(help_text="By way of which group.")
    shared_at = serializers.DateTimeField()
    played_on = fields.Day()
    worst_hole = fields.Whole(1, 18, allow_null=True)
    cause = fields.Text(9)
    hole_words = fields.Text(WORDS)
    plan_kept = fields.Text(6)
    keep = fields.Text(WORDS)
    change = fields.Text(WORDS)


class SearchIn(fields.Strict):
    words = fields.Text(SEARCH, min_length=1)


class FoundOut(serializers.Serializer[Any]):
    results = LookBackOut(many=True)
    intentions = IntentionOut(many=True)
    count = fields.Whole(0, 99999, help_text="Of both together.")


class ShareIn(fields.Strict):
    group = fields.Id()
    readers = fields.Many(
        child=fields.Id(), required=False, max_length=100, help_text="Left out: everybody in the group now."
    )


class ReaderOut(serializers.Serializer[Any]):
    player = fields.Id()
    name = fields.Text(80)
    group = fields.Id()
    shared_at = serializers.DateTimeField()


class ReadersOut(serializers.Serializer[Any]):
    readers = ReaderOut(many=True)


class PasswordIn(fields.Strict):
    password = fields.Text(200)


def look_back_out(one: LookBack) -> dict[str, Any]:
    return {
        "id": str(one.pk),
        "round": str(one.round_id) if one.round_id else None,
        "played_on": one.played_on.isoformat(),
        "state": one.state,
        **_words_of(one),
        "created_at": one.created_at.isoformat(),
        "finished_at": one.finished_at.isoformat() if one.finished_at else None,
        "version": one.version,
    }


def look_back_whole(one: LookBack) -> dict[str, Any]:
    meant = intention_of(one.round) if one.round is not None else None
    fell = fell_of(meant, one.round)
    return {
        **look_back_out(one),
        "intention": str(meant.pk) if meant else None,
        "fell": fell.words if fell else "",
    }


def _words_of(one: LookBack) -> dict[str, Any]:
    names = ("worst_hole", "cause", "hole_words", "plan_kept", "keep", "change")
    return {name: getattr(one, name) for name in names}


def shared_out(share: Share) -> dict[str, Any]:
    one = share.look_back
    return {
        "id": str(one.pk),
        "player": str(one.player_id),
        "name": one.player.name,
        "group": str(share.group_id),
        "shared_at": share.shared_at.isoformat(),
        "played_on": one.played_on.isoformat(),
        **_words_of(one),
    }


class LookBacks(Private):
    """Your look-backs, newest round first, drafts and skipped ones among them."""

    query = QUERY

    @extend_schema(responses={200: page_of(LookBackOut)})
    def get(self, request: Request) -> Response:
        return Response(page(self, access.own_look_backs(self.account), look_back_out, ("-played_on", "-pk")))

    @extend_schema(request=LookBackNew, responses={201: LookBackWholeOut})
    def post(self, request: Request) -> Response:
        """The one of this round: a draft, or what is there already."""
        player = access.own_player(self.account)
        played = self.named_round(self.read(LookBackNew))
        assert played is not None

        def act() -> UUID:
            return look_backs.open_look_back(player=player, played=played).pk

        def afresh(look_back_id: UUID) -> Answer:
            found = access.own_look_back(self.account, look_back_id)
            headers = {"Location": f"{request.path}{found.pk}/", "ETag": f'"{found.version}"'}
            return Answer(look_back_whole(found), headers=headers)

        return self.made_once(request, act, afresh)


class LookBackDetail(Private):
    @extend_schema(responses={200: LookBackWholeOut})
    def get(self, request: Request, look_back_id: UUID) -> Response:
        found = access.own_look_back(self.account, look_back_id)
        return tagged(Response(look_back_whole(found)), found.version)

    @extend_schema(request=LookBackChange, responses={200: LookBackWholeOut})
    def patch(self, request: Request, look_back_id: UUID) -> Response:
        found = access.own_look_back(self.account, look_back_id)
        self.require_match(request, found.version, lambda: look_back_whole(found))
        fresh = look_backs.write_look_back(look_back=found, changes=self.read(LookBackChange))
        return tagged(Response(look_back_whole(fresh)), fresh.version)

    @extend_schema(responses={204: None})
    def delete(self, request: Request, look_back_id: UUID) -> Response:
        found = access.own_look_back(self.account, look_back_id)
        self.require_match(request, found.version, lambda: look_back_whole(found))
        look_backs.drop_look_back(look_back=found)
        return Response(status=204)


class Search(Private):
    """By your own words. A POST, since addresses are written down along the way; nothing is stored by it."""

    @extend_schema(request=SearchIn, responses={200: FoundOut})
    def post(self, request: Request) -> Response:
        access.own_player(self.account)
        words = self.read(SearchIn)["words"]
        found = found_in(access.own_look_backs(self.account).order_by("-played_on", "-pk"), words)
        meant = what_became(found_in(access.own_intentions(self.account).order_by("-played_on", "-pk"), words))
        return Response(
            {
                "results": [look_back_out(one) for one in found],
                "intentions": [intention_out(one) for one in meant],
                "count": len(found) + len(meant),
            }
        )


class Sharing(Private):
    """Who may read one look-back now: named members, or the group as it is at this moment."""

    @extend_schema(responses={200: ReadersOut})
    def get(self, request: Request, look_back_id: UUID) -> Response:
        return Response(_readers_out(access.own_look_back(self.account, look_back_id)))

    @extend_schema(request=ShareIn, responses={200: ReadersOut})
    def post(self, request: Request, look_back_id: UUID) -> Response:
        """These readers in place of any before. Readers cannot hand it on, and who joins later is not among them."""
        found = access.own_look_back(self.account, look_back_id)
        sent = self.read(ShareIn)
        group = self._named(sent["group"], access.own_group, "group")
        readers = self._readers(group, sent.get("readers"))
        look_backs.share_look_back(look_back=found, group=group, readers=readers, to_all="readers" not in sent)
        return Response(_readers_out(found))

    @extend_schema(responses={204: None})
    def delete(self, request: Request, look_back_id: UUID) -> Response:
        """Withdrawn from everybody, from their next request on."""
        look_backs.withdraw_shares(look_back=access.own_look_back(self.account, look_back_id))
        return Response(status=204)

    def _readers(self, group: Group, wanted: list[UUID] | None) -> list[Player]:
        there = {player.pk: player for player in access.possible_readers(self.account, group)}
        if wanted is None:
            return list(there.values())
        missing = [place for place, one in enumerate(wanted) if one not in there]
        if missing:
            message = "Send the id of another member of this group who can sign in."
            raise invalid([FieldError(f"readers.{place}", "id", message) for place in missing])
        return [there[one] for one in dict.fromkeys(wanted)]


def _readers_out(look_back: LookBack) -> dict[str, Any]:
    return {
        "readers": [
            {
                "player": str(share.reader_id),
                "name": share.reader.name,
                "group": str(share.group_id),
                "shared_at": share.shared_at.isoformat(),
            }
            for share in access.readers_of(look_back)
        ]
    }


class SharedWithMe(Private):
    """Look-backs that others let you read, until they withdraw them."""

    query = QUERY

    @extend_schema(responses={200: page_of(SharedOut)})
    def get(self, request: Request) -> Response:
        return Response(page(self, access.shares_with(self.account), shared_out, ("-shared_at", "-pk")))


class SharedOne(Private):
    @extend_schema(responses={200: SharedOut})
    def get(self, request: Request, look_back_id: UUID) -> Response:
        return Response(shared_out(access.look_back_for(self.account, look_back_id)))


class Export(Private):
    @extend_schema(responses={(200, "application/json"): OpenApiTypes.OBJECT})
    def get(self, request: Request) -> HttpResponse:
        """Your whole journal as one file."""
        access.own_player(self.account)
        packed = HttpResponse(as_text(self.account), content_type="application/json")
        packed["Content-Disposition"] = 'attachment; filename="journal.json"'
        packed["Cache-Control"] = "private, no-store"
        return packed


class ErasureOfJournal(Private):
    browser_only = True

    @extend_schema(request=PasswordIn, responses={204: None})
    def post(self, request: Request) -> Response:
        """All of it, at once and for good; what was shared goes too. From a browser only, with the password."""
        player = access.own_player(self.account)
        password = self.read(PasswordIn)["password"]
        if account_by_password(request._request, self.account.email, password) is None:
            raise invalid([FieldError("password", "password", "This is not the password of your account.")])
        erase_journal(player=player)
        return Response(status=204)


urlpatterns: list[URLPattern | URLResolver] = [
    path("look-backs/", LookBacks.as_view(), name="api-journal-look-backs"),
    path("look-backs/<uuid:look_back_id>/", LookBackDetail.as_view(), name="api-journal-look-back"),
    path("look-backs/<uuid:look_back_id>/share/", Sharing.as_view(), name="api-journal-share"),
    path("search/", Search.as_view(), name="api-journal-search"),
    path("shared/", SharedWithMe.as_view(), name="api-journal-shared"),
    path("shared/<uuid:look_back_id>/", SharedOne.as_view(), name="api-journal-shared-one"),
    path("export/", Export.as_view(), name="api-journal-export"),
    path("erasure/", ErasureOfJournal.as_view(), name="api-journal-erasure"),
]
