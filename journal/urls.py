"""Every address of the journal: `API` under /api/v1/journal/, `PAGES` under /journal/."""

from django.urls import URLPattern, URLResolver

from journal.api import before, look_backs, resets

API: list[URLPattern | URLResolver] = [*resets.urlpatterns, *before.urlpatterns, *look_backs.urlpatterns]
