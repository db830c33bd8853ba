"""What is advised on each hole by the arithmetic of shots, as plain values for the plan.

The habit that a plan is held against is the longest sensible club with its own best aim, on a par 3 the club that
usually goes nearest to what the hole plays.
"""

from league.estimates.carries import LEVEL_UNKNOWN
from league.estimates.clubs import PENALTIES, Meeting
from league.estimates.plan import Advice, ApproachAdvice, HoleToPlan, Known, ShotAdvice, TeeAdvice, TriedClub
from league.estimates.rules_of_thumb import usual_odds
from league.estimates.tee_shots import Choice, best_tee_shot
from league.estimates.tee_words import aimed, lost_in
from league.estimates.to_the_green import advice_from, after_the_tee


def advice_for(known: Known) -> dict[int, Advice]:
    """By hole number. Without clubs, or where a hole has no length, the reason why nothing is advised."""
    return {one.hole.number: _on(one, known) for one in known.holes}


def _on(one: HoleToPlan, known: Known) -> Advice:
    if not known.carries:
        return Advice(approach=_usual_from_the_tee(one, known), reasons=("a club for it: the carry book is empty",))
    if one.length is None:
        return Advice(reasons=("a club for it: its length is not known",))
    level = LEVEL_UNKNOWN if known.level is None else known.level
    choice = best_tee_shot(one.described, one.length, one.hole.par, known.carries, level, one.conditions, known.unit)
    if choice is None:
        return Advice()
    if one.hole.par == 3:
        approach = advice_from(one.length, one, known, choice.best.club.name)
        return Advice(tee=_tee(choice), approach=approach, shots=approach.shots if approach else ())
    left = after_the_tee(choice.best.left, one, known)
    approach = advice_from(left, one, known)
    tee = _tee(choice)
    first = ShotAdvice(1, tee.club, one.length - left, left, lost=round(tee.lost or 0.0, 3), lost_words=tee.lost_words)
    return Advice(tee=tee, approach=approach, shots=(first, *(approach.shots if approach else ())))


def _usual_from_the_tee(one: HoleToPlan, known: Known) -> ApproachAdvice | None:
    """Without a club: what is usual on a par 3 of this length at the player's level."""
    if one.hole.par != 3 or not one.length or known.level is None:
        return None
    return ApproachAdvice(club="", words=usual_odds(one.length, known.level, known.unit).words)


def _tee(choice: Choice) -> TeeAdvice:
    best = choice.best
    worst = max((one for one in best.meets if _loses(one)), key=lambda one: one.chance, default=None)
    return TeeAdvice(
        club=best.club.name,
        words=best.words,
        aim=aimed(best.aim, best.ends_off),
        left=best.left,
        lost=best.penalty_chance,
        lost_words=lost_in(worst.trouble) if worst else "",
        saves=choice.habit.cost - best.cost,
        runner_up=choice.runner_up.club.name if choice.runner_up else "",
        price=choice.price_of_boldness,
        tried=tuple(TriedClub(shot.club.name, shot.words, round(shot.cost - best.cost, 3)) for shot in choice.tried),
        practice=choice.practice,
        forced_carry=choice.forced_carry,
        unknown=choice.unknown,
    )


def _loses(meeting: Meeting) -> bool:
    return meeting.trouble.kind in PENALTIES
