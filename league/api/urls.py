"""Every address under /api/. Each noun keeps its own list, included under v1/."""

from django.urls import URLPattern, URLResolver, include, path, re_path

from league.api.base import Unknown

NOUNS: list[URLPattern | URLResolver] = []

urlpatterns: list[URLPattern | URLResolver] = [
    path("v1/", include(NOUNS)),
    re_path(r"", Unknown.as_view(), name="api-unknown"),
]
