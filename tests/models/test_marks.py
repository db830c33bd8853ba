"""What the marks of one hole come to: by hand, and laws for any marks in any order of arrival."""

from collections.abc import Sequence
from uuid import UUID

from hypothesis import given
from hypothesis import strategies as st

from league.models.marks import Mark, Merged, Value, merge_of, says_no_more

PHONE, TABLET, WATCH = UUID(int=101), UUID(int=102), UUID(int=103)


def mark(number: int, strokes: int | None, over: int | None = None, device: UUID = PHONE, **more: int) -> Mark:
    value: Value = None if strokes is None else {"strokes": strokes, **more}
    return Mark(UUID(int=number), UUID(int=over) if over else None, value, device)


def told(*marks: Mark) -> tuple[int | None, list[int]]:
    """The number of the mark that stands, and those that are contested."""
    merged = merge_of(marks)
    return merged.standing.int if merged.standing else None, [one.int for one in merged.contested]


def test_nothing_written_is_nothing() -> None:
    assert merge_of([]) == Merged()


def test_one_phone_writes_over_its_own_marks() -> None:
    assert told(mark(1, 5), mark(2, 6, over=1), mark(3, 7, over=2)) == (3, [])


def test_what_was_cleared_is_cleared() -> None:
    assert told(mark(1, 5), mark(2, None, over=1)) == (2, [])


def test_two_phones_that_say_the_same_agree() -> None:
    assert told(mark(1, 5), mark(2, 5, device=TABLET)) == (1, [])


def test_who_knows_more_of_the_same_stands() -> None:
    assert told(mark(1, 5), mark(2, 5, device=TABLET, putts=2)) == (2, [])


def test_two_phones_that_say_different_things_are_contested() -> None:
    assert told(mark(1, 5), mark(2, 6, device=TABLET)) == (None, [1, 2])
    assert told(mark(1, 5, putts=1), mark(2, 5, device=TABLET, putts=2)) == (None, [1, 2])
    assert told(mark(1, None), mark(2, 6, device=TABLET)) == (None, [1, 2])


def test_both_wrote_over_the_same_mark() -> None:
    assert told(mark(1, 5), mark(2, 6, over=1), mark(3, 7, over=1, device=TABLET)) == (None, [2, 3])


def test_a_phone_that_has_seen_both_agree_writes_over_both() -> None:
    """The tablet was shown mark 1 of the phone, which said what its own mark 2 said."""
    assert told(mark(1, 5), mark(2, 5, device=TABLET), mark(3, 6, over=1, device=TABLET)) == (3, [])


def test_a_phone_that_corrects_itself_unseen_is_contested_by_the_other() -> None:
    assert told(mark(1, 5), mark(2, 5, device=TABLET), mark(3, 6, over=1)) == (None, [2, 3])


def test_going_back_to_the_first_value_is_not_undone_by_the_second() -> None:
    assert told(mark(1, 5), mark(2, 6, over=1, device=TABLET), mark(3, 5, over=2)) == (3, [])


def test_a_mark_over_one_that_never_came_is_a_mark() -> None:
    assert told(mark(3, 6, over=2)) == (3, [])


def test_marks_in_a_circle_replace_nothing_and_lose_nothing() -> None:
    assert told(mark(1, 5, over=2), mark(2, 6, over=1)) == (None, [1, 2])
    assert told(mark(1, 5, over=1)) == (1, [])


def test_what_a_person_set_aside_does_not_come_back() -> None:
    aside = Mark(UUID(int=1), None, {"strokes": 5}, PHONE, is_set_aside=True)
    assert told(aside, mark(2, 6, device=TABLET)) == (2, [])
    assert told(aside, mark(2, 6, device=TABLET), mark(3, 4, over=1)) == (None, [2, 3])


values = st.none() | st.fixed_dictionaries(
    {"strokes": st.integers(3, 5)}, optional={"putts": st.integers(1, 2), "penalties": st.integers(0, 1)}
)


@st.composite
def histories(draw: st.DrawFn) -> Sequence[Mark]:
    """Up to eight marks of three phones; `over` names any of them, also one that comes later, or none."""
    n_marks = draw(st.integers(0, 8))
    numbers = st.none() | st.integers(1, 9)
    return [
        Mark(
            UUID(int=number),
            None if (over := draw(numbers)) is None else UUID(int=over),
            draw(values),
            draw(st.sampled_from([PHONE, TABLET, WATCH])),
            draw(st.booleans()) and draw(st.booleans()),
        )
        for number in range(1, n_marks + 1)
    ]


@given(histories(), st.randoms(use_true_random=False))
def test_the_order_of_arrival_does_not_matter(marks: Sequence[Mark], chance: st.DataObject) -> None:
    shuffled = [*marks, *marks[:2]]
    chance.shuffle(shuffled)  # type: ignore[attr-defined]
    assert merge_of(shuffled) == merge_of(marks)


@given(histories())
def test_one_stands_or_two_are_contested_or_nothing_is_left(marks: Sequence[Mark]) -> None:
    merged = merge_of(marks)
    assert len(merged.contested) != 1
    assert merged.standing is None or not merged.contested
    assert not merged.agreed & {merged.standing, *merged.contested}
    by_id = {one.id: one for one in marks}
    said = [by_id[one].value for one in merged.contested]
    assert not any(says_no_more(one, other) for one in said for other in said if one is not other)
    kept = [by_id[one] for one in ({merged.standing} - {None}) | {*merged.contested}]
    assert all(any(says_no_more(by_id[one].value, other.value) for other in kept) for one in merged.agreed)


@given(histories())
def test_a_mark_that_nothing_is_written_over_is_never_lost(marks: Sequence[Mark]) -> None:
    """What is left out was written over, was set aside, or said what a mark said that another phone wrote over."""
    merged = merge_of(marks)
    counted = {merged.standing, *merged.contested, *merged.agreed}
    overs = {one.over for one in marks}
    by_id = {one.id: one for one in marks}
    for one in marks:
        if one.id in counted or one.is_set_aside or one.id in overs:
            continue
        same = [by_id[over] for over in overs if over in by_id and says_no_more(one.value, by_id[over].value)]
        assert same


@given(histories())
def test_the_newest_word_of_who_has_seen_all_stands(marks: Sequence[Mark]) -> None:
    merged = merge_of(marks)
    if merged.standing is None:
        return
    last = Mark(UUID(int=99), merged.standing, {"strokes": 9}, UUID(int=999))
    after = merge_of([*marks, last])
    assert after.standing == last.id
