"""What a measurement is, how it is judged and how it is printed."""

import gc
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from statistics import median

Work = Callable[[], object]


@dataclass(frozen=True)
class Target:
    """The bound that a ratio is held against; one of the two."""

    at_most: float | None = None
    at_least: float | None = None

    def excess(self, value: float) -> float:
        """How far outside a value lies; 0 or less is within."""
        if self.at_most is not None:
            return value - self.at_most
        return self.at_least - value if self.at_least is not None else 0.0

    def __str__(self) -> str:
        return f"at least {self.at_least:g}" if self.at_most is None else f"at most {self.at_most:g}"


@dataclass(frozen=True)
class Figure:
    """One number of a line, as it came out in each pass; the median is shown."""

    label: str
    values: Sequence[float]
    target: Target | None = None

    @property
    def middle(self) -> float:
        return median(self.values)

    @property
    def verdict(self) -> str:
        """Outside while some pass was within says nothing: the passes differ by more than it is outside."""
        if self.target is None:
            return ""
        if self.target.excess(self.middle) <= 0:
            return "within"
        return "noise, run again" if min(map(self.target.excess, self.values)) <= 0 else "outside"

    def __str__(self) -> str:
        notes = []
        if len(self.values) > 1:
            notes.append(f"{short(min(self.values))}-{short(max(self.values))}")
        if self.target is not None:
            notes.append(f"{self.target}: {self.verdict}")
        return f"{self.label}={short(self.middle)}" + (f" ({', '.join(notes)})" if notes else "")


def short(value: float) -> str:
    """Three figures, whole numbers as they are."""
    if value == int(value) or abs(value) >= 100:
        return str(round(value))
    return f"{value:.2f}" if abs(value) < 10 else f"{value:.1f}"


@dataclass(frozen=True)
class Line:
    """A printed line. `is_wrong` is for exactness alone: a number that is not what it must be."""

    name: str
    figures: Sequence[Figure]
    note: str = ""
    is_wrong: bool = False

    def __str__(self) -> str:
        passes = max(len(figure.values) for figure in self.figures)
        parts = [self.name, *map(str, self.figures), f"passes={passes}"]
        return "  ".join([*parts, *([f"[{self.note}]"] if self.note else [])])


def interleaved(passes: int, sides: Mapping[str, Work]) -> dict[str, list[float]]:
    """Processor seconds of each side in each pass; the sides take turns, so that a busy machine slows them alike."""
    taken: dict[str, list[float]] = {name: [] for name in sides}
    for _ in range(passes):
        for name, work in sides.items():
            taken[name].append(seconds(work))
    return taken


def seconds(work: Work, clock: Callable[[], float] = time.process_time) -> float:
    """By the wall's clock (`time.perf_counter`) where the work waits for a disk or another process."""
    gc.collect()
    begun = clock()
    work()
    return clock() - begun


def ratios(above: Sequence[float], below: Sequence[float]) -> list[float]:
    """One ratio for each pass: both sides of it were measured next to one another."""
    return [one / other for one, other in zip(above, below, strict=True)]
