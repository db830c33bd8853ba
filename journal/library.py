"""Sentences to choose from, all worded here, and what is known about each question the journal asks.

Under 18 without a guardian's decision these are the only words that can be stored.
"""

from dataclasses import dataclass
from typing import NamedTuple


@dataclass(frozen=True)
class IfThen:
    key: str
    when: str
    then: str


INTENTIONS = (
    IfThen(
        "after-a-double",
        "If I make a double bogey or worse,",
        "then I breathe out once and look only at where the next ball should land.",
    ),
    IfThen(
        "trees",
        "If I stand in the trees,",
        "then I take the shot that is sure to reach short grass.",
    ),
    IfThen(
        "water-at-the-limit",
        "If water needs my best strike,",
        "then I play to the side of it or short of it.",
    ),
    IfThen(
        "long-first-putt",
        "If the first putt is longer than about seven steps,",
        "then I think of its speed alone.",
    ),
    IfThen(
        "between-clubs",
        "If I am between two clubs,",
        "then I take the longer one and swing it as usual.",
    ),
    IfThen(
        "hurry",
        "If I notice that I hurry,",
        "then I walk one step slower to the ball.",
    ),
    IfThen(
        "score-in-mind",
        "If I start to add up my score,",
        "then I name the target of the next shot.",
    ),
    IfThen(
        "near-the-green",
        "If I have missed the green,",
        "then the next shot only has to be on it.",
    ),
)
GOALS = (
    "Choose a target before every shot.",
    "The same few steps before every shot.",
    "Every first putt from afar: speed first.",
    "From trouble, short grass first.",
    "Decide once, then play it.",
    "Keep the walking pace the same after a bad hole.",
)
RANGES = ("I take it as it is.", "I expect a little more than that today.", "I expect a little less than that today.")
SENTENCES = (
    "One hole is one hole.",
    "That was planned for; on to the next.",
    "Everybody makes these. Where should this one land?",
    "Back to the target.",
    "Small and straight.",
)
HOLE_WORDS = (
    "The club was more than the shot needed.",
    "The target was on the wrong side.",
    "The decision was sound, the strike was not.",
    "A good strike with a bad bounce.",
    "The one after the mistake cost most.",
)
KEEPS = (
    "The way I chose targets.",
    "Speed on long putts.",
    "Taking the way out of trouble that was sure.",
    "The pause after a bad hole.",
    "Playing to the middle of the green.",
)
CHANGES = (
    "Take one club more into greens.",
    "Aim at the side without trouble.",
    "Settle for short grass sooner.",
    "Think of speed on the first putt.",
    "Take the pause after a bad hole.",
    "Leave the longest club in the bag on the narrow holes.",
)
DEFAULT_SENTENCE, DEFAULT_BREATHS, MOST_BREATHS = SENTENCES[0], 3, 6

FIXED: dict[str, tuple[str, ...]] = {
    "range_words": RANGES,
    "goal": GOALS,
    "when": tuple(one.when for one in INTENTIONS),
    "then": tuple(one.then for one in INTENTIONS),
    "sentence": SENTENCES,
    "hole_words": HOLE_WORDS,
    "keep": KEEPS,
    "change": CHANGES,
}
"""By the name of the field."""


class Known(NamedTuple):
    """One row of the evidence: what is asked, what was found, what is made of it here."""

    asked: str
    found: str
    use: str


EVIDENCE = (
    Known(
        "An if-then sentence before the round",
        "d 0.65 over 94 tests (Gollwitzer and Sheeran 2006); 0.27 to 0.66 over 642 tests (Sheeran, Listrom and "
        "Gollwitzer 2024). Better when truly if-then, wanted and gone through once in mind.",
        "The core of the journal.",
    ),
    Known(
        "One aim of how to play, not of score",
        "Aims of process d 1.36, of performance 0.44, of outcome 0.09 over 27 studies, few of each "
        "(Williamson and others 2022).",
        "One for each round.",
    ),
    Known(
        "The range to expect",
        "Arithmetic of your own rounds; whether knowing it helps was not tested.",
        "The safest part: a double is a planned expense.",
    ),
    Known(
        "The same few steps before a shot",
        "0.31 before and after; 0.64 when calm, 0.70 under pressure, 112 effects (Rupprecht, Tran and Gröpel 2021).",
        "One line, if you like.",
    ),
    Known(
        "The reset after a bad hole: settle, learn one thing, move on",
        "Beginners' putting error −0.55 against −0.01, 38 people, none on mood; in bowling a gain within the game, 36 "
        "people.",
        "Early evidence. Short, and never a look back at the shot.",
    ),
    Known(
        "Slow breaths, about six a minute",
        "Heart rate −0.10, stress −0.51 with an interval that includes none.",
        "A few breaths; they may settle you.",
    ),
    Known(
        "Seeing it from outside",
        "Seeing an event otherwise 0.36, from outside 0.45, a short distraction 0.27; dwelling on it −0.26, pushing "
        "thoughts away −0.12 (Webb, Miles and Sheeran 2012).",
        "The wording of the reset; it never asks to relive anything.",
    ),
    Known(
        "Writing about worries once",
        "Performance r 0.06 to 0.09, anxiety −0.05: not supported.",
        "Nothing is promised of writing. Entries are short and look ahead.",
    ),
    Known(
        "Whole packages of such exercises",
        "Moderate, but not once weaker designs are left out (Reinebo and others 2023); mean 0.51 (Lochbaum and others "
        "2022).",
        "Small and uncertain: that is what to expect.",
    ),
)
