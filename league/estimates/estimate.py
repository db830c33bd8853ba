"""A number that rests on little carries its doubt with it."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Estimate:
    """`low` to `high` holds the truth about 19 times in 20; `n` says how many observations it rests on."""

    value: float
    low: float
    high: float
    n: int


NINETEEN_IN_TWENTY = 1.96
"""Standard errors to either side."""


def about(value: float, standard_error: float, n: int, floor: float = float("-inf")) -> Estimate:
    reach = NINETEEN_IN_TWENTY * standard_error
    return Estimate(value, max(floor, value - reach), max(floor, value + reach), n)
