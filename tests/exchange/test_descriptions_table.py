"""A table of described holes: what it reads, what it refuses and where, and that it comes back as it went."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from league.exchange.descriptions_table import TABLE_CHARACTERS, read, write
from league.rules.described import CountedFrom, Described, Side, Trouble, TroubleKind, Width, check
from league.rules.errors import RuleBroken

WHOLE = """hole\tWhat\tside\tfrom\tto\toff line\tdepth\twide\tcounted from\tnote
7\tpenalty area\tright\t180\t240\t25\t\t\t\tthe pond
7\tBunker\tleft\t-10\t5\t3\t8\t\tgreen\t
7\twidth\t\t210\t\t\t\t32\t\t
7\tgreen\t\t\t\t\t28\t22\t\t
7\tbend\tleft\t210\t\t\t40\t\t\t
7\tsafe side\tshort\t\t\t\t\t\t\t
7\thard chip\tlong\t\t\t\t\t\t\t
7\trise to green\t\t\t\t\t-4\t\t\t
7\tname\t\t\t\t\t\t\t\tSluice
"""
SLUICE = Described(
    number=7,
    name="Sluice",
    trouble=(
        Trouble(TroubleKind.PENALTY_AREA, Side.RIGHT, 180, 240, 25, note="the pond"),
        Trouble(TroubleKind.BUNKER, Side.LEFT, -10, 5, 3, 8, CountedFrom.GREEN),
    ),
    widths=(Width(210, 32),),
    green_depth=28,
    green_width=22,
    safe_side=Side.SHORT,
    hard_chip_from=(Side.LONG,),
    bend_to=Side.LEFT,
    bend_at=210,
    bend_degrees=40,
    rise_to_green=-4,
)


def test_every_kind_of_line_is_read():
    assert read(WHOLE).holes == [SLUICE]


@pytest.mark.parametrize("delimiter", [",", ";"])
def test_any_delimiter_and_order_of_columns(delimiter):
    table = delimiter.join(("what", "from", "hole", "side")) + "\n" + delimiter.join(("bunker", "150", "3", "LEFT"))
    assert read(table).holes[0].trouble == (Trouble(TroubleKind.BUNKER, Side.LEFT, 150, 150),)


@pytest.mark.parametrize(
    ("line", "row", "column", "code"),
    [
        ("x,bunker,left,150,,,,,,", 2, "hole", "number"),
        ("19,bunker,left,150,,,,,,", 2, "hole", "number"),
        ("7,,left,150,,,,,,", 2, "what", "choice"),
        ("7,bunker,up,150,,,,,,", 2, "side", "choice"),
        ("7,bunker,short,150,,,,,,", 2, "side", "trouble_side"),
        ("7,bunker,left,,,,,,,", 2, "from", "missing"),
        ("7,bunker,left,12.5,,,,,,", 2, "from", "number"),
        ("7,bunker,left,240,180,,,,,", 2, "to", "trouble_order"),
        ("7,bunker,left,150,,999,,,,", 2, "off line", "distance_range"),
        ("7,bunker,left,150,,,,32,,", 2, "wide", "unused"),
        ("7,bunker,left,150,,,,,hut,", 2, "counted from", "choice"),
        ("7,width,,210,,,,0,,", 2, "wide", "width_range"),
        ("7,name,,,,,,,," + "x" * 41, 2, "note", "text_too_long"),
        ("7,bend,left,210,,,400,,,", 2, "depth", "distance_range"),
        ("7,safe side,short,,,,,,,\n7,safe side,long,,,,,,,", 3, "what", "twice"),
        ("7,bunker,left,150,,,,,,,,,extra", 2, "", "row_long"),
    ],
)
def test_every_problem_is_named_by_line_and_column(line, row, column, code):
    reading = read("hole,what,side,from,to,off line,depth,wide,counted from,note\n" + line)
    assert reading.holes == []
    assert (row, column, code) in [(one.row, one.column, one.code) for one in reading.problems]


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("", "empty"),
        ("hole,what\n", "empty"),
        ("what,side\nbunker,left\n", "heading_missing"),
        ("hole,what,colour\n1,name,red\n", "heading_unknown"),
        ("hole,what,what\n1,name,x\n", "heading_twice"),
        ('hole,what\n1,"open', "quote"),
        ("x" * (TABLE_CHARACTERS + 1), "file_too_big"),
    ],
)
def test_what_is_no_table_is_refused(text, code):
    assert code in [one.code for one in read(text).problems]


def words(longest: int) -> st.SearchStrategy[str]:
    plain = st.text("abcXYZ 019éß=+-,;\"'@", max_size=longest)
    return plain.map(str.strip)


TROUBLE = st.builds(
    Trouble,
    st.sampled_from(TroubleKind),
    st.sampled_from((Side.LEFT, Side.RIGHT)),
    st.integers(0, 300),
    st.integers(300, 500),
    st.none() | st.integers(0, 150),
    st.none() | st.integers(1, 150),
    note=words(30),
)
HOLES = st.builds(
    Described,
    number=st.integers(1, 18),
    name=words(20),
    trouble=st.lists(TROUBLE, max_size=4).map(tuple),
    widths=st.dictionaries(st.integers(1, 400), st.integers(1, 150), max_size=4).map(
        lambda widths: tuple(Width(distance, widths[distance]) for distance in sorted(widths))
    ),
    green_depth=st.none() | st.integers(1, 80),
    rise_to_green=st.none() | st.integers(-100, 100),
    note=words(40),
)


def is_lawful(hole: Described) -> bool:
    try:
        check(hole)
    except RuleBroken:
        return False
    return hole != Described(number=hole.number)


@given(HOLES.filter(is_lawful))
def test_what_is_written_is_read_back(hole):
    assert read(write([hole])).holes == [hole]
