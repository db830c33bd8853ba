from django.urls import include, path

from league.config.health import health

urlpatterns = [
    path("healthz", health, name="health"),
    path("api/", include("league.api.urls")),
    path("", include("league.web.urls")),
]
