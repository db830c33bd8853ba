"""How much a hole climbs under a shot, in the unit of the hole; below zero where it falls.

Both heights of a description count from the tee. On a par 3 the tee shot lands at the green: the height of the landing
stands in where that of the green is unknown. Elsewhere the ground is taken to rise evenly where the height of the
landing is unknown (ours).

>>> from league.rules.described import Described
>>> uphill = Described(number=13, rise_to_landing=10, rise_to_green=18)
>>> rise_of_tee_shot(uphill, 4, 190, 404), rise_to_go(uphill, 4, 160, 404), rise_to_go(uphill, 3, 160, 160)
(10, 8, 18)
"""

from league.rules.described import Described


def rise_of_green(hole: Described, par: int) -> int:
    """Above the tee; 0 where it is unknown."""
    at_landing = hole.rise_to_landing if par == 3 else None
    return (hole.rise_to_green if hole.rise_to_green is not None else at_landing) or 0


def rise_of_tee_shot(hole: Described, par: int, carry: float, length: float) -> int:
    """From the tee to where a shot that carries so far lands."""
    green = rise_of_green(hole, par)
    if par == 3:
        return green
    if hole.rise_to_landing is not None:
        return hole.rise_to_landing
    return round(green * min(1.0, carry / length))


def rise_to_go(hole: Described, par: int, left: float, length: float) -> int:
    """How much higher the green lies than a ball with `left` of `length` to go: from the tee the whole rise, farther on
    less what the landing lies above the tee; on the way to the green of a par 3 evenly.
    """
    green = rise_of_green(hole, par)
    if left >= length:
        return green
    if par > 3 and hole.rise_to_landing is not None:
        return green - hole.rise_to_landing if hole.rise_to_green is not None else 0
    return round(green * left / length)
