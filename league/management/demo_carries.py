"""Carry books of two people of the demo season: clubs, notes and measured shots, all invented."""

from collections.abc import Mapping

from league.exchange import shots_csv
from league.management.demo_season import Season
from league.models import Player
from league.services import carries, shots
from league.services.carries import BookFacts, ClubFacts

BOOKS = {
    "nuala": BookFacts(
        length_unit="yards",
        liked_distance=85,
        from_rough="One club more, and it runs.",
        ball_above="Starts left, stays left.",
        from_bare="Pitching wedge, not the sand wedge.",
    ),
    "tomoko": BookFacts(length_unit="metres", liked_distance=75, ball_below="Half a club less, weight on the heels."),
}
DRIVES = {"nuala": 182, "tomoko": 158}
"""Roll included, each in the unit of the book."""
MEASURED = {
    "nuala": (("driver", 166, 15, 12, 14), ("7 iron", 110, 9, 5, 16), ("sand wedge", 61, 6, 0, 11)),
    "tomoko": (("5 wood", 128, 11, -6, 12), ("8 iron", 88, 7, -2, 5)),
}
"""Club, carry, its standard deviation, the usual distance off the line, shots."""
WIDE = 0.09
"""Standard deviation off the line, as a share of the carry."""


def write_books(season: Season, players: Mapping[str, Player]) -> None:
    for key, facts in BOOKS.items():
        player = players[key]
        carries.change_book(player=player, facts=facts)
        carries.take_starter_set(player=player, drive=DRIVES[key])
        reading = shots_csv.read(_list_of(season, key).encode(), wanted=facts.length_unit)
        shots.import_shots(player=player, reading=reading)
    old = ClubFacts(name="chipper", kind="iron", carry=35, is_carried=False)
    carries.add_club(player=players["nuala"], facts=old)


def _list_of(season: Season, key: str) -> str:
    rng = season.rng(key, "measured shots")
    lines = ["club,carry,off line,date"]
    for club, carry, spread, aside, n_shots in MEASURED[key]:
        for _ in range(n_shots):
            flew = max(5, round(rng.gauss(carry, spread)))
            lines.append(f"{club},{flew},{round(rng.gauss(aside, WIDE * carry))},{season.last_saturday}")
    return "\n".join(lines)
