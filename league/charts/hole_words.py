"""A described hole in words: what lies where, and what is not known. Shared by the picture and by pages."""

from __future__ import annotations

from collections.abc import Iterator

from league.charts.words import MINUS, count_words
from league.rules.described import CountedFrom, Described, Side, Trouble, TroubleKind

KINDS = {
    TroubleKind.OUT_OF_BOUNDS: "out of bounds",
    TroubleKind.PENALTY_AREA: "penalty area",
    TroubleKind.BUNKER: "bunker",
    TroubleKind.TREES: "trees",
    TroubleKind.FALL_OFF: "steep fall-off",
}
WITHOUT_ARTICLE = (TroubleKind.OUT_OF_BOUNDS, TroubleKind.TREES)


def kind_words(trouble: Trouble) -> str:
    """A bunker, trees, out of bounds."""
    words = KINDS[trouble.kind]
    return words if trouble.kind in WITHOUT_ARTICLE else f"a {words}"


def place_words(trouble: Trouble) -> str:
    """Where it lies: on the right from 180 to 240; short of the green on the left."""
    if trouble.counted_from == CountedFrom.GREEN:
        return _by_the_green(trouble)
    span = f"at {trouble.begins}" if trouble.begins == trouble.ends else f"from {trouble.begins} to {trouble.ends}"
    return f"across the hole {span}" if trouble.side == Side.ACROSS else f"on the {trouble.side.value} {span}"


def _by_the_green(trouble: Trouble) -> str:
    near = "short of" if trouble.ends < 0 else "beyond" if trouble.begins > 0 else ""
    if trouble.side == Side.ACROSS:
        return f"{near or 'across'} the green"
    return f"{near} the green on the {trouble.side.value}" if near else f"{trouble.side.value} of the green"


def trouble_words(trouble: Trouble) -> str:
    """A bunker on the right from 180 to 240, 12 off the line."""
    off = f", {trouble.off_line} off the line" if trouble.off_line else ""
    return f"{kind_words(trouble)} {place_words(trouble)}{off}"


def bend_words(hole: Described) -> str:
    """Bends left at 210, by some 40 degrees; empty when no bend is known."""
    if hole.bend_to is None or hole.bend_at is None:
        return ""
    degrees = f", by some {hole.bend_degrees} degrees" if hole.bend_degrees is not None else ""
    return f"bends {hole.bend_to.value} at {hole.bend_at}{degrees}"


def bend_arrow_words(hole: Described) -> str:
    """Bends left 40°: where the picture shows at what distance."""
    by = "" if hole.bend_degrees is None else f" {hole.bend_degrees}\u00b0"
    return f"bends {hole.bend_to}{by}"


def height_words(rise: int) -> str:
    """4 up, 3 down, level: where the unit is said already."""
    return f"{abs(rise)} {'up' if rise > 0 else 'down'}" if rise else "level"


def distance_words(distance: int, unit: str) -> str:
    """12 yards, 1 metre."""
    return f"{distance} {unit.removesuffix('s') if distance == 1 else unit}"


def against_tee(rise: int, unit: str) -> str:
    """4 yards above the tee, 1 metre below the tee, level with the tee."""
    if rise == 0:
        return "level with the tee"
    return f"{distance_words(abs(rise), unit)} {'above' if rise > 0 else 'below'} the tee"


def signed_place(distance: int) -> str:
    """A distance from the middle of the green, with the minus sign of print when short of it."""
    return f"{MINUS}{-distance}" if distance < 0 else str(distance)


def sides_words(sides: tuple[Side, ...]) -> str:
    """Left, left or long, left, short or long."""
    *first, last = [side.value for side in sides]
    return f"{', '.join(first)} or {last}" if first else last


def hole_reading(hole: Described, length: int | None, unit: str) -> str:
    """The hole in one sentence, up to three pieces of trouble by name."""
    told = [trouble_words(trouble) for trouble in hole.trouble]
    if len(told) > 4:
        told = [*told[:3], f"{count_words(len(told) - 3)} more"]
    said = [*told] or ["no trouble is written down"]
    if bend := bend_words(hole):
        said.append(f"it {bend}")
    said += rises_words(hole, unit)
    start = f"{length} {unit}" if length else f"Length not known, distances in {unit}"
    return f"{start}: {'; '.join(said)}."


def rises_words(hole: Described, unit: str) -> list[str]:
    """The green lies 4 yards below the tee; the tee shot lands there first where that is known."""
    lands = [] if hole.rise_to_landing is None else [f"the tee shot lands {against_tee(hole.rise_to_landing, unit)}"]
    return lands + ([] if hole.rise_to_green is None else [f"the green lies {against_tee(hole.rise_to_green, unit)}"])


def known_words(hole: Described) -> str:
    """What is written down, in a few words; empty when nothing is."""
    count = len(hole.trouble)
    told = [f"{count_words(count)} piece{'' if count == 1 else 's'} of trouble"] if count else []
    return ", ".join([*told, *_beside_trouble(hole)]) or ("a name or a note" if hole.name or hole.note else "")


def whole_words(hole: Described) -> str:
    """Each piece of trouble in words, then what else is written down."""
    return "; ".join([*map(trouble_words, hole.trouble), *_beside_trouble(hole)]) or known_words(hole)


def _beside_trouble(hole: Described) -> list[str]:
    told = ["width"] if hole.widths else []
    told += ["green"] if hole.green_depth or hole.green_width or hole.safe_side or hole.hard_chip_from else []
    told += ["bend"] if hole.bend_to else []
    told += ["ups and downs"] if hole.rise_to_landing is not None or hole.rise_to_green is not None else []
    return told


def not_known(hole: Described, length: int | None) -> tuple[str, ...]:
    """What nobody wrote down yet, in the order of the hole."""
    return tuple(_missing(hole, length))


def _missing(hole: Described, length: int | None) -> Iterator[str]:
    if length is None:
        yield "its length"
    if not hole.trouble:
        yield "trouble"
    for place, trouble in enumerate(hole.trouble, 1):
        if trouble.side != Side.ACROSS and trouble.off_line is None:
            yield f"how far off the line trouble {place} begins"
    asked = (
        (hole.widths, "how wide the ground is"),
        (hole.green_depth, "how deep the green is"),
        (hole.green_width, "how wide the green is"),
        (hole.safe_side, "the safe side of the green"),
        (hole.hard_chip_from, "where a miss leaves a hard chip"),
        (hole.rise_to_green, "ups and downs"),
    )
    yield from (words for value, words in asked if value is None or value == ())
