from django.urls import include, path

from journal import urls as journal
from league.api.docs import PROBLEM_PAGES
from league.config.health import health

urlpatterns = [
    path("healthz", health, name="health"),
    path("api/v1/journal/", include(journal.API)),
    path("api/", include("league.api.urls")),
    path("problems/", include(PROBLEM_PAGES)),
    path("journal/", include(journal.PAGES)),
    path("", include("league.web.urls")),
]
handler400 = "league.web.uploads.bad_request"
