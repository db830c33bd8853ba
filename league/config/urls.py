from django.urls import include, path

from league.api.docs import PROBLEM_PAGES
from league.config.health import health

urlpatterns = [
    path("healthz", health, name="health"),
    path("api/", include("league.api.urls")),
    path("problems/", include(PROBLEM_PAGES)),
    path("", include("league.web.urls")),
]
handler400 = "league.web.uploads.bad_request"
