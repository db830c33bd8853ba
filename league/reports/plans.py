"""Plans as they read, what they are worked out from, and what keeping them was worth. All of it is the owner's alone.

Only the player's own cards on the tee go into a plan: in a small group the mean of the others would give their holes
away.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Q

from league.estimates import outlook, plan_chance
from league.estimates.advice import advice_for
from league.estimates.conditions import Conditions
from league.estimates.holes import Result
from league.estimates.kept import Kept, PlannedHole, kept_or_not
from league.estimates.outlook import Level
from league.estimates.plain_shots import made_in
from league.estimates.plan import Advice, HoleToPlan, Known, Material
from league.estimates.plan_chance import BesideOutlook
from league.estimates.rules_of_thumb import WAY_OUT
from league.estimates.tee_words import a_part
from league.models import HolePlan, HoleScore, HolesInPlay, Outlook, Plan, Player, Round, Standing, Tee
from league.reports.carries import carry_book
from league.reports.descriptions import described_holes
from league.rules.described import Described

CARDS = 60
"""The player's last cards on the tee that a plan looks at."""


def material_for(player: Player, tee: Tee, barrier: int, day: date | None, conditions: Mapping[str, Any]) -> Material:
    """Some ten statements, whatever the number of rounds."""
    stored = Outlook.objects.filter(player=player).first()
    if stored is None or stored.n_rounds < outlook.FEWEST_ROUNDS:
        known = _known(player, tee, conditions, 0)
        return Material(known, advice_for(known), _no_chance(player, stored))
    known = _known(player, tee, conditions, stored.n_rounds)
    advice = advice_for(known)
    return Material(known, advice, _chance(stored, tee, barrier, day, advice))


def _known(player: Player, tee: Tee, conditions: Mapping[str, Any], n_rounds: int) -> Known:
    book = carry_book(player)
    described, lengths = described_holes(tee), {hole.number: hole.length for hole in tee.holes.all()}
    n = tee.course.n_holes
    rated = tee.in_play(holes_in_play_of(tee))
    holes = tuple(
        HoleToPlan(
            hole=hole,
            length=lengths.get((hole.number - 1) % n + 1),
            described=described.get((hole.number - 1) % n + 1, Described(number=hole.number)),
            conditions=_on_hole(conditions, hole.number),
        )
        for hole in rated.holes
    )
    carries = book.carries(tee.length_unit)
    unknown = [] if carries else ["The carry book is empty, so no clubs are named."]
    if not conditions:
        unknown.append("The weather is not told: every hole is as usual.")
    return Known(
        holes=holes,
        unit=tee.length_unit,
        carries=carries,
        level=book.level,
        liked=book.liked_in(tee.length_unit),
        results=tuple(_results(player, tee)),
        n_rounds=n_rounds,
        names={"course": tee.course.name, "tee": tee.name},
        unknown=tuple(unknown),
    )


def holes_in_play_of(tee: Tee) -> str:
    return HolesInPlay.TWICE if tee.course.n_holes == 9 else HolesInPlay.EIGHTEEN


def _on_hole(conditions: Mapping[str, Any], number: int) -> Conditions:
    return Conditions(
        temperature_c=conditions.get("temperature_c"),
        wind_speed=conditions.get("wind_speed", ""),
        wind_from=conditions.get("wind", {}).get(str(number), ""),
        ground=conditions.get("ground", ""),
        altitude_m=conditions.get("altitude_m"),
    )


def _results(player: Player, tee: Tee) -> Iterable[Result]:
    """Own holes on this set of tees, on the last cards hole by hole."""
    played = Round.objects.filter(player=player, tee__set_id=tee.set_id, is_total=False).whole()
    latest = list(played.values_list("pk", flat=True))[-CARDS:]
    scores = HoleScore.objects.filter(round__in=latest, strokes__isnull=False).order_by("pk")
    pars = {hole.number: hole.par for hole in tee.in_play(holes_in_play_of(tee)).holes}
    for number, strokes in scores.values_list("number", "strokes"):
        if number in pars and strokes is not None:
            yield Result(number, pars[number], strokes)


def _no_chance(player: Player, stored: Outlook | None) -> str:
    """Rounds that are not in the outlook yet may be enough; else they are too few."""
    known = stored.last_number if stored else 0
    if Standing.objects.filter(player=player).exclude(last_number=known).exists():
        return (
            "The outlook was still being worked out when this plan was made. Work it out anew, and the chance is here."
        )
    n = stored.n_rounds if stored else 0
    return f"Too few rounds of eighteen holes for a chance: {n} of the {outlook.FEWEST_ROUNDS} that it takes."


def _chance(stored: Outlook, tee: Tee, barrier: int, day: date | None, advice: Mapping[int, Advice]) -> BesideOutlook:
    level = Level.from_plain(stored.level)
    next_score = outlook.predict(level, day or stored.computed_at.date(), tee.key)
    savings = [one.tee.saves for one in advice.values() if one.tee]
    return plan_chance.beside_outlook(next_score, tee.ground, barrier, savings)


@dataclass(frozen=True)
class PlanTold:
    """A plan with what its owner decided over what was worked out. `holes` are plain values, by the keys of `told`."""

    plan: Plan
    holes: tuple[dict[str, Any], ...]

    @property
    def told(self) -> dict[str, Any]:
        return self.plan.told

    @property
    def halves(self) -> tuple[dict[str, Any], ...]:
        """Out and in, each with its holes and sums."""
        return tuple(
            {
                "name": name,
                "holes": part,
                "par": sum(hole["par"] for hole in part),
                "personal_par": sum(hole["personal_par"] for hole in part),
                "length": sum(hole["length"] or 0 for hole in part) or None,
                "due": part[-1]["due"],
            }
            for name, part in (("Out", self.holes[:9]), ("In", self.holes[9:]))
        )

    @property
    def counts(self) -> dict[str, int]:
        """Holes by stance."""
        return {
            stance: sum(hole["stance"] == stance for hole in self.holes) for stance in ("attack", "measured", "protect")
        }

    @property
    def over(self) -> int:
        return int(self.told["last"] - self.told["par"])

    @property
    def moved_words(self) -> str:
        """What the owner moved: "moved by you to hole 6, from hole 17"."""
        up = [str(hole["number"]) for hole in self.holes if hole["moved"] > 0]
        down = [str(hole["number"]) for hole in self.holes if hole["moved"] < 0]
        return f"More on hole {', '.join(up)}, less on hole {', '.join(down)}." if up and down else ""

    @property
    def ways_out(self) -> dict[str, Any] | None:
        """Where trouble asks for the sure way out, and how often a gap must work there to be worth a try."""
        needed = {
            hole["number"]: rule["chance"] for hole in self.holes for rule in hole["rules"] if rule["kind"] == WAY_OUT
        }
        if not needed:
            return None
        return {"holes": list(needed), "low": min(needed.values()), "high": max(needed.values())}

    @property
    def n_undescribed(self) -> int:
        return sum("what trouble there is" in hole["unknown"] for hole in self.holes)

    @property
    def chance(self) -> dict[str, str] | None:
        """The plan's chance beside the outlook's, said as exactly as the number of rounds allows."""
        found = self.told["chance"]
        if not found:
            return None
        n = self.told["n_rounds"]
        names = ("before", "after", "low", "high")
        return {name: outlook.spoken(found[name], n).words for name in names}

    @property
    def saved(self) -> float:
        return round(self.told["chance"]["saved"], 1) if self.told["chance"] else 0.0

    @property
    def own_clubs_words(self) -> str:
        """Clubs that the owner took instead, which the chance does not count."""
        own = [hole for hole in self.holes if hole["club_is_own"]]
        if not own:
            return ""
        where = f"hole{'' if len(own) == 1 else 's'} {', '.join(str(hole['number']) for hole in own)}"
        tried = [tried_with(hole, hole["club"]) for hole in own]
        costs = sum(one["costs"] for one in tried if one)
        price = f": by the arithmetic {a_part(costs)} more a round" if costs >= WORTH_SAYING else ""
        return f"Your own club on {where} is not counted in it{price}."

    @property
    def words(self) -> str:
        """Of a plan beside its round."""
        said = f"A plan for {self.told['last']}"
        if not self.n_answered:
            return f"{said}; nobody said yet whether it was kept."
        return f"{said}, kept on {self.n_kept} of {self.n_answered} holes."

    @property
    def n_kept(self) -> int:
        return sum(hole["is_kept"] is True for hole in self.holes)

    @property
    def n_answered(self) -> int:
        return sum(hole["is_kept"] is not None for hole in self.holes)


WORTH_SAYING = 0.025
"""Strokes."""
NO_CHANCE = {"kind": "", "chance": None}
"""Of a rule in a plan that was worked out before these were kept."""


def plan_told(plan: Plan) -> PlanTold:
    own = {hole.number: hole for hole in plan.holes.all()}
    return PlanTold(plan, tuple(_with_own(hole, own.get(hole["number"])) for hole in plan.told["holes"]))


def _with_own(stored: Mapping[str, Any], own: HolePlan | None) -> dict[str, Any]:
    """`made_in`: how the personal par is made.

    `own_club_words`: what was worked out with the club that the owner took instead. `then`: the clubs after the tee
    shot that do not go at the green yet, unless another club was chosen for it.
    """
    told = {
        **stored,
        "shots": stored.get("shots", []),
        "tried": stored.get("tried", []),
        "rules": [{**NO_CHANCE, **rule} for rule in stored["rules"]],
        "own_club_words": "",
    }
    told["made_in"] = made_in(told["personal_par"])
    told["then"] = ", ".join(shot["club"] for shot in told["shots"][1:] if shot["leaves"])
    if own is None:
        return {**told, "stance_is_own": False, "club_is_own": False, "own_note": "", "is_kept": None}
    club_is_own = bool(own.club) and own.club != told["club"]
    return {
        **told,
        "stance": own.stance or told["stance"],
        "stance_is_own": bool(own.stance) and own.stance != told["stance"],
        "worked_out_stance": told["stance"],
        "club": own.club or told["club"],
        "club_is_own": club_is_own,
        "own_club_words": _own_club_words(told, own.club) if club_is_own else "",
        "worked_out_club": told["club"],
        "then": "" if own.club else told["then"],
        "own_note": own.note,
        "is_kept": own.is_kept,
    }


def tried_with(told: Mapping[str, Any], club: str) -> dict[str, Any] | None:
    """What was worked out with a club from the tee, whatever its capitals."""
    found = (one for one in told["tried"] if one["club"].casefold() == club.casefold())
    return next(found, None)


def _own_club_words(told: Mapping[str, Any], club: str) -> str:
    found = tried_with(told, club)
    if found is None:
        return "Nothing is worked out with it from this tee."
    price = "costs as much" if found["costs"] < WORTH_SAYING else f"costs {a_part(found['costs'])} more"
    return f"{found['words'][:1].upper()}{found['words'][1:]}. By the arithmetic it {price} than {told['club']}."


def plans_of(player: Player) -> list[Plan]:
    """The newest first."""
    held = Plan.objects.filter(player=player).select_related("tee__course", "round").prefetch_related("holes")
    return list(held.order_by("-created_at", "pk"))


def next_plan(player: Player, day: date) -> Plan | None:
    """The plan that is not played yet: the one for the next day from `day` on, else the newest without a day."""
    held = Plan.objects.filter(player=player, round=None).filter(Q(for_day=None) | Q(for_day__gte=day))
    held = held.select_related("tee__course").prefetch_related("holes")
    dated = held.exclude(for_day=None).order_by("for_day", "-created_at").first()
    return dated or held.filter(for_day=None).order_by("-created_at").first()


CARD_KEYS = (
    *("number", "personal_par", "made_in", "due", "stance", "reason"),
    *("club", "aim", "safe_side", "lay_up", "own_note"),
)
"""What the card on the phone shows of a hole."""


def plan_beside(played: Round) -> PlanTold | None:
    """The plan that stands beside a round."""
    found = Plan.objects.filter(round=played).select_related("tee__course").prefetch_related("holes").first()
    return plan_told(found) if found else None


def plan_waiting(played: Round) -> Plan | None:
    """A plan of the player for this day and tee, or for any day, that no round stands beside yet."""
    held = Plan.objects.filter(
        Q(for_day=None) | Q(for_day=played.played_on),
        player_id=played.player_id,
        round=None,
        tee__set_id=played.tee.set_id,
        created_at__date__lte=played.played_on,
    )
    return held.order_by("for_day", "-created_at").first()


def rounds_beside(plan: Plan) -> list[Round]:
    """Rounds hole by hole on the plan's tee that may have been played after it; the likeliest first."""
    held = Round.objects.filter(player=plan.player, tee__set_id=plan.tee.set_id).whole().select_related("tee__course")
    found = [one for one in held if plan.for_day is None or one.played_on == plan.for_day or one.pk == plan.round_id]
    taken = set(Plan.objects.filter(player=plan.player).exclude(round=None).values_list("round_id", flat=True))
    return [one for one in reversed(found) if one.pk not in taken or one.pk == plan.round_id]


def kept_of(player: Player) -> Kept:
    """All answered holes of all plans that a card stands beside."""
    plans = Plan.objects.filter(player=player).exclude(round=None).prefetch_related("holes", "round__hole_scores")
    return kept_or_not([_planned(plan) for plan in plans.order_by("created_at")])


def _planned(plan: Plan) -> Sequence[PlannedHole]:
    assert plan.round is not None
    made = {score.number: score.strokes for score in plan.round.hole_scores.all()}
    told = {hole["number"]: hole for hole in plan.told["holes"]}
    found = []
    for hole in plan.holes.all():
        strokes = made.get(hole.number)
        if hole.is_kept is None or strokes is None:
            continue
        expected = told[hole.number]["expected"]
        found.append(PlannedHole(hole.is_kept, strokes, hole.personal_par if expected is None else expected))
    return found
