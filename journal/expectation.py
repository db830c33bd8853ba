"""What to expect before a round, where the score fell afterwards, and what the barrier leaves from a hole on.

Pure: gross strokes in, sentences out. The range is the player's own: four scores in five lie in it, so one round in
ten lies below and one in ten above, by nothing but luck.
"""

from dataclasses import dataclass

BELOW, INSIDE, ABOVE = "below", "inside", "above"


@dataclass(frozen=True)
class Range:
    """Gross strokes for eighteen holes from `low` to `high`, both in; it rests on `n_rounds` rounds."""

    low: int
    high: int
    n_rounds: int

    @property
    def words(self) -> str:
        return f"{self.low} to {self.high}"


def before_words(expected: Range) -> str:
    return (
        f"Four rounds in five fall from {expected.low} to {expected.high} on this tee, going by your last "
        f"{expected.n_rounds}. One in ten is better, one in ten is worse, and neither says that anything changed."
    )


def fell(gross: int, low: int, high: int) -> str:
    """
    >>> fell(86, 86, 97), fell(97, 86, 97), fell(98, 86, 97), fell(85, 86, 97)
    ('inside', 'inside', 'above', 'below')
    """
    if gross < low:
        return BELOW
    return ABOVE if gross > high else INSIDE


def after_words(gross: int, low: int, high: int) -> str:
    """
    >>> after_words(91, 86, 97)
    '91 fell inside the range of 86 to 97, as four rounds in five do.'
    """
    where = fell(gross, low, high)
    if where == INSIDE:
        return f"{gross} fell inside the range of {low} to {high}, as four rounds in five do."
    if where == BELOW:
        return f"{gross} fell below the range of {low} to {high}, as about one round in ten does."
    return f"{gross} fell above the range of {low} to {high}, as about one round in ten does."


def from_here_words(barrier: int, strokes: int, par_left: int, holes_left: int) -> str:
    """What getting under `barrier` leaves, after `strokes` so far, for holes of that number and par.

    >>> from_here_words(90, 39, 44, 11)
    '11 holes to go: 50 strokes still get under 90, 6 over their par.'
    >>> from_here_words(90, 52, 36, 9)
    '9 holes to go: 37 strokes still get under 90, 1 over their par.'
    >>> from_here_words(90, 60, 30, 7)
    '7 holes to go: 29 strokes would still get under 90, 1 under their par. The next hole is one hole.'
    >>> from_here_words(90, 88, 12, 3)
    'Under 90 is out of reach today. The next hole is one hole.'
    """
    left = barrier - 1 - strokes
    if left < holes_left * 2:
        return f"Under {barrier} is out of reach today. The next hole is one hole."
    holes = "1 hole" if holes_left == 1 else f"{holes_left} holes"
    over = left - par_left
    if over > 0:
        return f"{holes} to go: {left} strokes still get under {barrier}, {over} over their par."
    if over == 0:
        return f"{holes} to go: {left} strokes still get under {barrier}, level with their par."
    told = f"{holes} to go: {left} strokes would still get under {barrier}, {-over} under their par."
    return f"{told} The next hole is one hole."
