"""Every address under /api/. Each noun keeps its own list of addresses and is named once in NOUNS."""

from django.urls import URLPattern, URLResolver, include, path, re_path

from league.api import (
    accounts,
    barriers,
    card_kit,
    card_lines,
    card_marks,
    cards,
    carries,
    courses,
    descriptions,
    docs,
    evidence,
    group_cards,
    handicaps,
    imports,
    invitations,
    members,
    plans,
    practice,
    rounds,
    shots,
    tees,
)
from league.api.base import Unknown

NOUNS: list[list[URLPattern | URLResolver]] = [
    barriers.urlpatterns,
    evidence.urlpatterns,
    accounts.urlpatterns,
    members.urlpatterns,
    invitations.urlpatterns,
    courses.urlpatterns,
    descriptions.urlpatterns,
    tees.urlpatterns,
    carries.urlpatterns,
    shots.urlpatterns,
    plans.urlpatterns,
    rounds.urlpatterns,
    cards.urlpatterns,
    card_kit.urlpatterns,
    card_marks.urlpatterns,
    card_lines.urlpatterns,
    group_cards.urlpatterns,
    handicaps.urlpatterns,
    imports.urlpatterns,
    practice.urlpatterns,
]

urlpatterns: list[URLPattern | URLResolver] = [
    path("", docs.api_page, name="api"),
    path("about/<slug:noun>/", docs.noun_page, name="api_noun"),
    path("schema/", docs.schema_document, name="api-schema"),
    *(path("v1/", include(noun)) for noun in NOUNS),
    re_path(r"", Unknown.as_view(), name="api-unknown"),
]
