"""What the marks of one hole come to, whatever the order in which they arrived.

A mark is one writing of one hole on one phone. It may name the mark that it was written over. What is left when all
that was written over is taken away either says one thing, and that stands, or it does not, and a person chooses.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID, uuid5

Value = Mapping[str, Any] | None
"""The facts that are known of a hole by name; None is a hole that was cleared."""
SEEN_BY_ALL = frozenset({"strokes", "picked_up"})
"""Of a player with an account the rest is shown to that player and to whoever opened the card."""


@dataclass(frozen=True)
class Mark:
    """`is_set_aside`: a person chose another mark of the same hole."""

    id: UUID
    over: UUID | None
    value: Value
    device: UUID
    is_set_aside: bool = False


@dataclass(frozen=True)
class Merged:
    """`contested` are two or more marks that say different things; `agreed` say no more than one that is kept."""

    standing: UUID | None = None
    contested: tuple[UUID, ...] = ()
    agreed: frozenset[UUID] = field(default_factory=frozenset)


def taken_back_id(mark: UUID) -> UUID:
    """The id of the mark that takes this one back: asked for twice, it is one."""
    return uuid5(mark, "taken back")


def says_no_more(one: Value, other: Value) -> bool:
    """Whether every fact of one is in the other. A cleared hole agrees with a cleared hole only.

    >>> says_no_more({"strokes": 5}, {"strokes": 5, "putts": 2}), says_no_more(None, {"strokes": 5})
    (True, False)
    """
    if one is None or other is None:
        return one is None and other is None
    return all(name in other and other[name] == fact for name, fact in one.items())


def merge_of(marks: Iterable[Mark]) -> Merged:
    """What stands of these marks of one hole. Marks of one id count once.

    >>> phone, tablet = UUID(int=8), UUID(int=9)
    >>> five = Mark(UUID(int=1), None, {"strokes": 5}, phone)
    >>> six = Mark(UUID(int=2), None, {"strokes": 6}, tablet)
    >>> merge_of([six, five]).contested == (five.id, six.id)
    True
    >>> merge_of([Mark(UUID(int=2), five.id, {"strokes": 6}, tablet), five]).standing == six.id
    True
    """
    by_id = {mark.id: mark for mark in marks}
    heads = [mark for mark in by_id.values() if not mark.is_set_aside and not _is_replaced(mark, by_id)]
    kept: list[Mark] = []
    agreed = set()
    for head in sorted(heads, key=lambda mark: (-len(mark.value or {}), mark.id)):
        if any(says_no_more(head.value, other.value) for other in kept):
            agreed.add(head.id)
        else:
            kept.append(head)
    if len(kept) > 1:
        return Merged(contested=tuple(sorted(mark.id for mark in kept)), agreed=frozenset(agreed))
    return Merged(standing=kept[0].id if kept else None, agreed=frozenset(agreed))


def _is_replaced(mark: Mark, by_id: Mapping[UUID, Mark]) -> bool:
    """Written over; or it said what another phone's mark said when a third was written over that one.

    Whoever writes over a mark of another phone has seen what the service made of the hole, with all that agreed.
    Marks that name each other in a circle replace nothing in it.
    """
    before = _written_over_by(mark, by_id)
    for other in by_id.values():
        seen = by_id.get(other.over) if other.over else None
        if seen is None or other.id == mark.id or other.id in before:
            continue
        if seen.id == mark.id:
            return True
        if seen.device != other.device and says_no_more(mark.value, seen.value):
            return True
    return False


def _written_over_by(mark: Mark, by_id: Mapping[UUID, Mark]) -> set[UUID]:
    """The marks that this one was written over, and those that they were written over."""
    found: set[UUID] = set()
    here: Mark | None = mark
    while here is not None and here.over is not None and here.over not in found:
        found.add(here.over)
        here = by_id.get(here.over)
    return found
