"""A few addresses that use every part of the plumbing; known to these tests only."""

from threading import Barrier
from typing import Any

from django.db import OperationalError, transaction
from django.urls import include, path
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from league import access
from league.api import fields, paging
from league.api.base import Answer, Endpoint, tagged
from league.api.docs import PROBLEM_PAGES
from league.api.urls import urlpatterns as real
from league.models import Group
from league.rules.errors import RuleBroken, refuse_all
from league.services.errors import Refused

PAUSES: list[tuple[Barrier, Barrier]] = []
FAULTS: dict[str, Any] = {
    "rules": RuleBroken("slope_range", "A slope rating is a whole number from 55 to 155.", "slope_rating"),
    "refused": Refused("unlisted_reason", "The outing is closed."),
    "locked": OperationalError("database is locked"),
    "bug": RuntimeError("canary in the message"),
}


class PlumbingHoleIn(fields.Strict):
    strokes = fields.Whole(1, 25)


class PlumbingNoteIn(fields.Strict):
    name = fields.Text(80)
    strokes = fields.Whole(1, 25, required=False)
    index = fields.Tenths("-9.9", "54.0", required=False)
    played_on = fields.Day(required=False)
    plumbing_side = fields.Choice(["front", "back"], required=False)
    is_total = fields.Flag(required=False)
    tee = fields.Id(required=False)
    note = fields.Text(500, lines=True, allow_blank=True, required=False)
    holes = PlumbingHoleIn(many=True, required=False)
    owner = serializers.CharField(read_only=True)
    deep = serializers.JSONField(required=False)


class PlumbingNoteOut(fields.Strict):
    id = fields.Id()
    name = fields.Text(80)
    index = fields.Tenths(required=False)


class PlumbingCourseOut(fields.Strict):
    id = fields.Id()
    name = fields.Text(80)


@transaction.atomic
def _store(name: str) -> Group:
    if name in FAULTS:
        raise FAULTS[name]
    if name == "two":
        refuse_all([FAULTS["rules"], RuleBroken("par_range", "Enter a par of 3 to 6.", "holes.0.par")])
    made = Group.objects.create(name=name, time_zone="Europe/London", created_at=timezone.now())
    if PAUSES:
        for barrier in PAUSES.pop():
            barrier.wait()
    return made


class PlumbingNotes(Endpoint):
    @extend_schema(responses=PlumbingNoteOut(many=True))
    def get(self, request, player_id):
        seen = access.player_for(self.account, player_id)
        return tagged(Response({"id": str(seen.row.pk), "name": seen.row.name}), seen.row.version)

    @extend_schema(request=PlumbingNoteIn, responses={201: PlumbingNoteOut})
    def post(self, request, player_id):
        access.player_to_keep(self.account, player_id)
        sent = self.read(PlumbingNoteIn)

        def act():
            made = _store(sent["name"])
            body = {"id": str(made.pk), "name": made.name}
            if "index" in sent:
                body["index"] = sent["index"]
            return Answer(body, headers={"Location": f"/api/v1/notes/{made.pk}/"})

        return self.once(request, act)

    @extend_schema(request=PlumbingNoteIn, responses=PlumbingNoteOut)
    def patch(self, request, player_id):
        player = access.player_to_keep(self.account, player_id)
        self.require_match(request, player.version, stored=lambda: {"name": player.name})
        player.name, player.version = self.read(PlumbingNoteIn)["name"], player.version + 1
        player.save()
        return tagged(Response({"id": str(player.pk), "name": player.name}), player.version)


class PlumbingCourses(Endpoint):
    query = paging.QUERY | {"name"}

    @extend_schema(responses=paging.page_of(PlumbingCourseOut))
    def get(self, request):
        courses = access.visible_courses(self.account)
        if "name" in request.query_params:
            courses = courses.filter(name=request.query_params["name"])
        return Response(paging.page(self, courses, PlumbingCourseOut, order=("-name", "id")))


class AccountOnly(Endpoint):
    browser_only = True

    @extend_schema(request=None, responses={204: None})
    def post(self, request):
        return Response(status=204)


nouns = [
    path("players/<uuid:player_id>/notes/", PlumbingNotes.as_view()),
    path("courses/", PlumbingCourses.as_view()),
    path("account/", AccountOnly.as_view()),
]
urlpatterns = [
    path("api/v1/", include(nouns)),
    path("api/", include(real)),
    path("problems/", include(PROBLEM_PAGES)),
]
