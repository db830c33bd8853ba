"""Made-up facts of one player, from a seed: rounds of every length, late ones, corrections, withdrawals."""

from datetime import date, timedelta
from decimal import Decimal
from random import Random

from league.rules.record import Adjusted, Corrected, Entered, Event, Lifted, Posted, Withdrawn
from league.rules.scorecard import Card, Hole, HoleScore, Tee

PARS = (4, 4, 3, 5, 4, 4, 3, 4, 5, 4, 3, 4, 5, 4, 4, 3, 5, 4)
STROKE_INDEXES = (7, 11, 17, 3, 1, 13, 15, 9, 5, 8, 18, 2, 6, 12, 4, 16, 10, 14)
HOLES = tuple(Hole(n, *row) for n, row in enumerate(zip(PARS, STROKE_INDEXES, strict=True), 1))
HERON = Tee(HOLES, Decimal("71.3"), 127, "Heron")
FRONT = HERON.nine(True, Decimal("35.4"), 121)
BACK = HERON.nine(False, Decimal("35.9"), 133)
TEES = (HERON, HERON, HERON, FRONT, BACK, FRONT.twice())
FIRST_DAY = date(2023, 3, 1)


def total_round(key: str, played_on: date, gross: int, tee: Tee = HERON, order: int = 1) -> Posted:
    return Posted(key, played_on, order, tee, Card.total(gross, holes=tee.n_holes))


def entered(key: str, played_on: date, gross: int, tee: Tee = HERON, order: int = 1) -> Entered:
    """A total posted on the day it was played."""
    return Entered(played_on, total_round(key, played_on, gross, tee, order))


def days(count: int) -> date:
    """So many days after the first."""
    return FIRST_DAY + timedelta(days=count)


def some_card(random: Random, tee: Tee, over: int) -> Card:
    """A card around `over` strokes above par, as holes or as a total, now and then cut short or exceptional."""
    if random.random() < 0.05:
        over -= 12
    if random.random() < 0.3:
        gross = tee.par + over * tee.n_holes // 18 + random.randint(-4, 6)
        return Card.total(gross, gross - random.randint(0, 2), tee.n_holes)
    scores = []
    for hole in tee.holes:
        strokes = max(1, hole.par + over // 18 + random.choice((-1, 0, 0, 1, 1, 1, 2, 7)))
        if random.random() < 0.06:
            scores.append(HoleScore(hole.number, random.choice((None, strokes)), True))
        else:
            scores.append(HoleScore(hole.number, strokes))
    if tee.n_holes == 18 and random.random() < 0.12:
        scores = random.sample(scores, random.randint(10, 17))
    return Card(tuple(scores))


def some_posted(random: Random, key: str, played_on: date, level: int) -> Posted:
    tee = random.choice(TEES)
    card = some_card(random, tee, level + random.randint(-4, 6))
    return Posted(key, played_on, random.randint(1, 3), tee, card, random.choice((0, 0, 0, -1, 1, 2, 3)))


def history(seed: int, length: int, *, in_order: bool = False) -> list[Event]:
    """That many facts; `in_order`: only rounds, each played after the last."""
    random = Random(seed)
    level, pace = random.randint(-4, 50), random.choice((0, 2, 5, 40))
    today, keys, events = FIRST_DAY, [], list[Event]()
    for number in range(length):
        today += timedelta(days=random.randint(0, pace))
        level = max(-6, level + random.choice((-1, 0, 0, 1)))
        late = 0 if in_order or random.random() < 0.7 else random.randint(0, 3 * pace)
        played_on = today - timedelta(days=late)
        dice = 1.0 if in_order or not keys else random.random()
        if dice < 0.08:
            moved = played_on - timedelta(days=random.choice((0, 0, 1, 30)))
            events.append(Corrected(today, some_posted(random, random.choice(keys), moved, level)))
        elif dice < 0.14:
            events.append(Withdrawn(today, keys.pop(random.randrange(len(keys)))))
        elif dice < 0.16:
            events.append(Adjusted(today, Decimal(random.randint(-30, 30)).scaleb(-1), "after a review"))
        elif dice < 0.20:
            events.append(Lifted(today, random.choice(keys)))
        else:
            key = f"round-{number}"
            posted = some_posted(random, key, played_on, level)
            if in_order:
                posted = Posted(key, played_on, number, posted.tee, posted.card, posted.playing_conditions)
            keys.append(key)
            events.append(Entered(today, posted))
    return events
