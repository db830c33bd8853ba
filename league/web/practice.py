"""What to practise: an hour by the own leaks, and games."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import URLPattern, URLResolver, path
from django.views.decorators.http import require_safe

from league.estimates.practice import HOUR
from league.reports.practice import practice_of
from league.web.doors import player_of, signed_in

TIMES = (30, 45, 60, 90)
"""Minutes that can be chosen on the page."""


@signed_in
@require_safe
def practice(request: HttpRequest) -> HttpResponse:
    """An address with another time shows the hour."""
    player = player_of(request)
    minutes = next((time for time in TIMES if str(time) == request.GET.get("minutes")), HOUR)
    page = {"player": player, "view": practice_of(player, minutes), "times": TIMES, "minutes": minutes}
    return render(request, "league/practice.html", page)


urlpatterns: list[URLPattern | URLResolver] = [path("practice/", practice, name="practice")]
