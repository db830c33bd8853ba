"""Every address of the journal: `API` under /api/v1/journal/, `PAGES` under /journal/."""

from django.urls import URLPattern, URLResolver

from journal.api import before, look_backs, resets
from journal.web import before as before_pages
from journal.web import look_backs as look_back_pages
from journal.web import reset as reset_pages
from journal.web import settings as settings_pages
from journal.web import sharing as sharing_pages

API: list[URLPattern | URLResolver] = [*resets.urlpatterns, *before.urlpatterns, *look_backs.urlpatterns]
PAGES: list[URLPattern | URLResolver] = [
    *look_back_pages.urlpatterns,
    *before_pages.urlpatterns,
    *reset_pages.urlpatterns,
    *sharing_pages.urlpatterns,
    *settings_pages.urlpatterns,
]
