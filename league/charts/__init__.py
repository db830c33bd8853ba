"""Numbers to pictures. Every picture is an SVG, one sentence that reads it, and its numbers as a table.

`Picture.svg` is finished markup, escaped; `reading`, `columns` and `rows` are plain text for a template to escape.
"""

from league.charts.carries import CarryRow, carry_ranges
from league.charts.dots import twenty_dots
from league.charts.drawing import Column, Picture, Row
from league.charts.hole import hole_strip
from league.charts.hole_words import distance_words, known_words, not_known, whole_words
from league.charts.hour import Stretch, split_hour
from league.charts.ladder import Rung, leak_ladder
from league.charts.level import ProgressPoint, progress_line
from league.charts.pace import PlayedHole, pace_line
from league.charts.ranges import difference_range, score_in_range
from league.charts.stairs import Step, staircase
from league.charts.strip import StripRow, group_strip
from league.charts.told import SaidRow, said_and_happened
from league.charts.words import (
    count_words,
    day_words,
    difference_words,
    index_words,
    signed_words,
    step_words,
    tenths_words,
)

__all__ = [
    "CarryRow",
    "Column",
    "Picture",
    "PlayedHole",
    "ProgressPoint",
    "Row",
    "Rung",
    "SaidRow",
    "Step",
    "Stretch",
    "StripRow",
    "carry_ranges",
    "count_words",
    "day_words",
    "difference_range",
    "difference_words",
    "distance_words",
    "group_strip",
    "hole_strip",
    "index_words",
    "known_words",
    "leak_ladder",
    "not_known",
    "pace_line",
    "progress_line",
    "said_and_happened",
    "score_in_range",
    "signed_words",
    "split_hour",
    "staircase",
    "step_words",
    "tenths_words",
    "twenty_dots",
    "whole_words",
]
