"""Every published rounding, in one place.

Rules 5.1c, 5.2, 6.1 and 6.2 round to the nearest tenth or whole number, exact halves upward, that is toward plus
infinity also below zero: -1.55 becomes -1.5 (Rule 5.1c). Inside the package a published one-decimal value is a whole
number of tenths.

>>> round_to_tenths(Fraction(-155, 100)), round_to_tenths(Fraction(-156, 100))
(Decimal('-1.5'), Decimal('-1.6'))
>>> tenths(Decimal("72.05"))
Traceback (most recent call last):
    ...
league.rules.errors.RuleBroken: Give 72.05 with one decimal.
"""

from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from math import gcd

from league.rules.errors import RuleBroken

Exact = Fraction | Decimal | int

Ratio = tuple[int, int]
"""An exact value as numerator and positive denominator in lowest terms, where a Fraction would be too slow."""


def halves_up(numerator: int, denominator: int) -> int:
    """Nearest whole number to numerator over a positive denominator, exact halves toward plus infinity (Rule 5.1c)."""
    return (2 * numerator + denominator) // (2 * denominator)


def lowest_terms(numerator: int, denominator: int) -> Ratio:
    """Numerator over a positive denominator with their common factors taken out."""
    common = gcd(numerator, denominator)
    return numerator // common, denominator // common


def exact(value: Exact) -> Fraction:
    """The same number as a fraction. RuleBroken `number` if it is not a finite number."""
    if isinstance(value, Decimal) and not value.is_finite():
        raise RuleBroken("number", f"{value} is not a number that can be used here.")
    return Fraction(value)


def round_to_whole(value: Exact) -> int:
    """Nearest whole number, halves upward (Rules 6.1 and 6.2a)."""
    fraction = exact(value)
    return halves_up(fraction.numerator, fraction.denominator)


def whole_tenths(value: Exact) -> int:
    """Nearest tenth as a count of tenths, halves upward (Rules 5.1c and 5.2)."""
    fraction = exact(value)
    return halves_up(10 * fraction.numerator, fraction.denominator)


def round_to_tenths(value: Exact) -> Decimal:
    """Nearest tenth, halves upward (Rules 5.1c and 5.2)."""
    return as_decimal(whole_tenths(value))


@lru_cache(maxsize=8192)
def tenths(value: Exact, field: str = "") -> int:
    """A published one-decimal value as a count of tenths. RuleBroken `one_decimal` if it has more decimals."""
    scaled = exact(value) * 10
    if scaled.denominator != 1:
        raise RuleBroken("one_decimal", f"Give {value} with one decimal.", field)
    return scaled.numerator


@lru_cache(maxsize=8192)
def as_decimal(count: int) -> Decimal:
    """A count of tenths as a one-decimal Decimal; zero is 0.0, never -0.0."""
    return Decimal((0 if count >= 0 else 1, tuple(int(digit) for digit in str(abs(count))), -1))


def as_text(value: Fraction) -> str:
    """An exact value as 'numerator/denominator', for keeping."""
    return f"{value.numerator}/{value.denominator}"


def fraction_of(text: str) -> Fraction:
    """The exact value kept by `as_text`. RuleBroken `number` if the text is something else."""
    try:
        numerator, denominator = text.split("/")
        return Fraction(int(numerator), int(denominator))
    except (ValueError, ZeroDivisionError) as error:
        raise RuleBroken("number", f"{text} is not a number that can be used here.") from error
