"""What the published rules forbid, said so that a player can put it right.

One exception carries one problem, or the first of several found together (`problems` lists them all).

>>> broken = RuleBroken("slope_range", "A slope rating is a whole number from 55 to 155.", "slope_rating")
>>> broken.code, broken.field
('slope_range', 'slope_rating')
>>> refuse_all([])
>>> refuse_all([broken])
Traceback (most recent call last):
    ...
league.rules.errors.RuleBroken: A slope rating is a whole number from 55 to 155.
"""

from collections.abc import Sequence


class RuleBroken(ValueError):
    """A value or card that the published rules do not allow: a stable code, a plain message, the field."""

    def __init__(self, code: str, message: str, field: str = "", also: tuple["RuleBroken", ...] = ()) -> None:
        """Keep the parts; `also` holds further problems found in the same check."""
        super().__init__(message)
        self.code = code
        self.message = message
        self.field = field
        self.also = also

    @property
    def problems(self) -> tuple["RuleBroken", ...]:
        """Every problem of this check, this one first."""
        return (self, *self.also)

    def __reduce__(self) -> tuple[type["RuleBroken"], tuple[object, ...]]:
        """Pickle with all parts, so that a worker process can hand the problem on."""
        return type(self), (self.code, self.message, self.field, self.also)


def refuse_all(problems: Sequence[RuleBroken]) -> None:
    """Raise the first problem with the others attached; do nothing if there is none."""
    if problems:
        first = problems[0]
        raise RuleBroken(first.code, first.message, first.field, tuple(problems[1:]))
