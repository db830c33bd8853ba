"""What the day does to a carry. Every rule says where it comes from; none knows a player, all are about.

- Temperature: 0.15 % of the carry for every degree Celsius over or under 21. A launch monitor test found 2 yards per
  10 degrees Fahrenheit for a carry of 250 (golf.com; an excerpt was read), which is 0.144 %. Others say up to 0.23 %
  (ball as well).
- Height above where the carries come from: 0.33 % of the carry for every 100 metres. The same report: 2.5 yards per
  1,000 feet for a carry of 250. Rules of thumb from memory go up to twice that.
- Wind: against, 1 % of the distance for every mile an hour; with, half of that; across, 0.6 % of the carry sideways and
  nothing in length. Common practice, from memory. Light, moderate and strong are taken as 5, 10 and 20 miles an hour.
- Up and down: a yard for a yard, a metre for a metre. Common practice.
- Ground: roll after landing as a share of the carry, by kind of club; soft ground leaves four tenths of it, hard ground
  doubles it. From memory. A distance plays 1 % longer over soft ground and 1 % shorter over hard: ours, from the common
  practice that wet ground plays longer.

Not told: gusts, rain in the air, the lie, and that a head wind makes a curve larger.

Check value, common practice: 115 yards slightly uphill (3 yards) in cool air (10 degrees) play about 120.

>>> playing_length(115, Conditions(temperature_c=10), rise=3).distance
119.9
>>> playing_length(150, Conditions(wind_speed="moderate", wind_from="ahead")).reasons
('a moderate wind against adds 15 (1 % a mile an hour, common practice)',)
>>> Conditions(wind_speed="storm")
Traceback (most recent call last):
    ...
ValueError: wind_speed: one of '', 'light', 'moderate', 'strong'
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from league.estimates.carries import Carry

TEMPERATURES = (-10, 45)
ALTITUDES = (-4500, 4500)
WIND_SPEEDS = {"": 0, "light": 5, "moderate": 10, "strong": 20}
"""Miles an hour."""
WIND_FROM = ("", "ahead", "behind", "left", "right")
GROUNDS = {"": 1.0, "soft": 0.4, "normal": 1.0, "hard": 2.0}
"""Of the usual roll."""

USUAL_TEMPERATURE = 21.0
PER_DEGREE = 0.0015
PER_METRE_UP = 0.000033
AGAINST, WITH, ACROSS = 0.01, 0.005, 0.006
ROLL = {"driver": 0.08, "wood": 0.07, "hybrid": 0.06, "iron": 0.04, "wedge": 0.02, "putter": 0.0}
OVER_GROUND = {"soft": 0.01, "hard": -0.01}
WORTH_SAYING = 0.5


@dataclass(frozen=True, slots=True)
class Conditions:
    """Empty or None is as usual. `wind_from` is seen along the line of the shot.

    `altitude_m`: metres above the place that the carries come from, negative below. ValueError beyond the bounds.
    """

    temperature_c: float | None = None
    wind_speed: str = ""
    wind_from: str = ""
    ground: str = ""
    altitude_m: float | None = None

    def __post_init__(self) -> None:
        for name, allowed in (("wind_speed", WIND_SPEEDS), ("wind_from", WIND_FROM), ("ground", GROUNDS)):
            if getattr(self, name) not in allowed:
                raise ValueError(f"{name}: one of {', '.join(map(repr, allowed))}")
        for name, (lowest, highest) in (("temperature_c", TEMPERATURES), ("altitude_m", ALTITUDES)):
            value = getattr(self, name)
            if value is not None and not lowest <= value <= highest:
                raise ValueError(f"{name}: from {lowest} to {highest}, or empty")


@dataclass(frozen=True, slots=True)
class Playing:
    """How long a distance plays, to a tenth, and why, in the unit of the distance. Only what matters has a reason."""

    distance: float
    reasons: tuple[str, ...]


def playing_length(distance: float, conditions: Conditions, rise: float = 0) -> Playing:
    """`rise` is how much higher the target lies, in the unit of the distance."""
    parts = [*_parts(distance, conditions), *_rest(distance, conditions, rise)]
    return Playing(
        round(distance + sum(added for added, _ in parts), 1),
        tuple(_reason(added, why) for added, why in parts if abs(added) >= WORTH_SAYING),
    )


def carry_today(carry: Carry, conditions: Conditions, rise: float = 0) -> Carry:
    """The same swing today: how far it is on the level scale of the hole, and where it is blown to.

    The other way round than `playing_length` without its ground, which acts on the roll.
    """
    longer = 1 + sum(added for added, _ in _parts(1.0, conditions))
    length = max(1.0, (carry.carry - rise) / longer)
    share = length / carry.carry if carry.carry else 1.0
    blown = {"left": ACROSS, "right": -ACROSS}.get(conditions.wind_from, 0.0) * WIND_SPEEDS[conditions.wind_speed]
    return replace(carry, carry=length, long_sd=carry.long_sd / longer, curve=carry.curve * share + blown * length)


def run(carry: float, kind: str, conditions: Conditions) -> float:
    """Roll after landing."""
    return carry * ROLL.get(kind, ROLL["iron"]) * GROUNDS[conditions.ground]


def _parts(distance: float, conditions: Conditions) -> Iterator[tuple[float, str]]:
    """What air and wind add to a distance."""
    if conditions.temperature_c is not None:
        degrees = USUAL_TEMPERATURE - conditions.temperature_c
        air = "cool" if degrees > 0 else "warm"
        yield distance * PER_DEGREE * degrees, f"{air} air {{}} (0.15 % a degree, from a published test)"
    if conditions.altitude_m is not None:
        air = "thinner" if conditions.altitude_m > 0 else "denser"
        yield (
            -distance * PER_METRE_UP * conditions.altitude_m,
            f"{air} air {{}} (0.33 % a 100 m, from a published test)",
        )
    speed = WIND_SPEEDS[conditions.wind_speed]
    if speed and conditions.wind_from == "ahead":
        words = f"a {conditions.wind_speed} wind against {{}} (1 % a mile an hour, common practice)"
        yield distance * AGAINST * speed, words
    if speed and conditions.wind_from == "behind":
        words = f"a {conditions.wind_speed} wind behind {{}} (0.5 % a mile an hour, common practice)"
        yield -distance * WITH * speed, words


def _rest(distance: float, conditions: Conditions, rise: float) -> Iterator[tuple[float, str]]:
    if rise:
        yield rise, f"going {'up' if rise > 0 else 'down'} {{}} (as much as it rises or falls, common practice)"
    if conditions.ground in OVER_GROUND:
        yield distance * OVER_GROUND[conditions.ground], f"{conditions.ground} ground {{}} (1 %, common practice)"


def _reason(added: float, why: str) -> str:
    return why.format(f"{'adds' if added > 0 else 'takes off'} {abs(added):.0f}")
