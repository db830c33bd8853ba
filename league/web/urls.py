"""Every page. Each noun keeps its own list."""

from django.urls import URLPattern, URLResolver, include, path

urlpatterns: list[URLPattern | URLResolver] = [
    path("", include("league.web.accounts")),
    path("", include("league.web.join")),
    path("", include("league.web.members")),
    path("", include("league.web.courses")),
    path("", include("league.web.descriptions")),
    path("", include("league.web.settings")),
    path("", include("league.web.rounds")),
    path("", include("league.web.handicaps")),
    path("", include("league.web.progress")),
    path("", include("league.web.practice")),
    path("", include("league.web.imports")),
    path("", include("league.web.plans")),
    path("", include("league.web.offline")),
    path("", include("league.web.cards")),
    path("", include("league.web.card_marks")),
    path("", include("league.web.card_lines")),
    path("", include("league.web.carries")),
    path("", include("league.web.shots")),
]
