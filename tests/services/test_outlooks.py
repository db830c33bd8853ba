"""What rests on the rounds: outlook, foretold, broken barriers, ladder. A round that goes takes its marks along."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest
from django.db import connection
from django.utils import timezone

from league.estimates import outlook as estimates
from league.models import Barrier, Course, Foretold, Outlook, Player, Round, Tee
from league.rules.errors import RuleBroken
from league.services import barriers, leaving, outlooks, rounds
from league.services.errors import Refused
from league.services.rounds import HoleFacts, RoundFacts
from tests import build

pytestmark = pytest.mark.django_db

SCORES = (97, 93, 101, 95, 92, 99, 94, 90, 96, 93)
FIRST = date(2026, 3, 1)


@pytest.fixture
def people() -> build.People:
    return build.people()


@pytest.fixture
def tee(people: build.People) -> Tee:
    return build.tee(build.course(people.group))


def card(tee: Tee, day: date, over: int = 1, **other: Any) -> RoundFacts:
    holes = tuple(
        HoleFacts(number=hole.number, strokes=hole.par + over, putts=2, penalties=0) for hole in tee.holes.all()
    )
    return RoundFacts(tee=tee, played_on=day, holes=holes, **other)


def total(tee: Tee, gross: int, week: int, **other: Any) -> RoundFacts:
    return RoundFacts(tee=tee, played_on=FIRST + timedelta(days=7 * week), gross=gross, **other)


def post(player: Player, facts: RoundFacts) -> Round:
    return rounds.post_round(player=player, facts=facts, posted_by=player)


def post_all(player: Player, tee: Tee, scores: tuple[int, ...] = SCORES) -> list[Round]:
    return [post(player, total(tee, gross, week)) for week, gross in enumerate(scores)]


def withdraw(played: Round) -> None:
    played.refresh_from_db()
    rounds.withdraw_round(played=played, version=played.version, withdrawn_by=None, reason="Not mine.")


def correct(played: Round, facts: RoundFacts) -> None:
    played.refresh_from_db()
    rounds.correct_round(played=played, facts=facts, version=played.version, corrected_by=None)


def state_of(player: Player) -> dict[str, Any]:
    """All that rests on the rounds, without ids, without the moment and without what says who knew it when."""
    refreshed = outlooks.refresh_player(player_id=player.pk)
    left_out = ("round", "player", "is_hindsight")
    names = [field.name for field in Foretold._meta.fields if field.name not in left_out]
    return {
        "level": refreshed.level if refreshed else None,
        "n": refreshed.n_rounds if refreshed else 0,
        "foretold": list(Foretold.objects.filter(player=player).order_by("played_on", "n_before").values(*names)),
        "barriers": list(
            Barrier.objects.filter(player=player).order_by("score").values("score", "broken_on", "told__ladder")
        ),
        "proofs": [
            barrier.broken_by.gross if barrier.broken_by else None
            for barrier in Barrier.objects.filter(player=player).select_related("broken_by").order_by("score")
        ],
    }


def foretold_of(player: Player) -> list[Foretold]:
    return list(Foretold.objects.filter(player=player).order_by("played_on", "n_before"))


# What is due shows by itself


def test_a_round_makes_its_player_due_and_nobody_else(people: build.People, tee: Tee) -> None:
    post_all(people.dan, tee, SCORES[:3])
    outlooks.refresh_due()
    assert outlooks.due_players(10) == []
    post(people.ann, total(tee, 95, 0))
    assert outlooks.due_players(10) == [people.ann.pk]
    assert outlooks.refresh_due() == 1
    assert outlooks.due_players(10) == []


def test_correcting_and_withdrawing_make_due_too(people: build.People, tee: Tee) -> None:
    played = post_all(people.ann, tee, SCORES[:4])
    for act in (lambda: correct(played[0], total(tee, 98, 0)), lambda: withdraw(played[1])):
        outlooks.refresh_due()
        act()
        assert outlooks.due_players(10) == [people.ann.pk]


def test_no_more_than_asked_for_are_worked_out_at_once(people: build.People, tee: Tee) -> None:
    for player in (people.ann, people.dan, people.ben):
        post(player, total(tee, 95, 0))
    assert [outlooks.refresh_due(limit=2), outlooks.refresh_due(limit=2), outlooks.refresh_due(limit=2)] == [2, 1, 0]


def test_a_second_refresh_changes_nothing(people: build.People, tee: Tee) -> None:
    post_all(people.ann, tee)
    barriers.set_barrier(player=people.ann, score=90)
    first = state_of(people.ann)
    versions = list(Barrier.objects.values_list("version", flat=True))
    assert state_of(people.ann) == first
    assert list(Barrier.objects.values_list("version", flat=True)) == versions
    assert not any(told.is_hindsight for told in foretold_of(people.ann))


def test_the_stored_level_is_that_of_the_rounds_themselves(people: build.People, tee: Tee) -> None:
    post_all(people.ann, tee)
    outlooks.refresh_due()
    # 113 / 128 x (gross - 72.1), Rule 5.1a without a cap.
    played = [
        estimates.Played(FIRST + timedelta(days=7 * week), (gross - 72.1) * 113 / 128, str(tee.set_id))
        for week, gross in enumerate(SCORES)
    ]
    stored = estimates.Level.from_plain(Outlook.objects.get(player=people.ann).level)
    wanted = estimates.level_of(played)
    assert (stored.n, stored.mean, stored.variance) == pytest.approx((10, wanted.mean, wanted.variance), rel=1e-9)
    assert stored.round_variance == pytest.approx(wanted.round_variance, rel=1e-9)


def test_an_outlook_rests_on_the_rounds_before_its_own_alone(people: build.People, tee: Tee) -> None:
    post_all(people.ann, tee)
    outlooks.refresh_due()
    before = foretold_of(people.ann)
    post(people.ann, total(tee, 120, 30))
    outlooks.refresh_due()
    after = foretold_of(people.ann)
    assert len(before) == len(SCORES) - 3
    assert [told.n_before for told in after] == list(range(3, 11))
    assert [(told.mode, told.left) for told in after[:-1]] == [(told.mode, told.left) for told in before]


# What does not matter


def test_the_order_of_posting_does_not_matter(people: build.People, tee: Tee) -> None:
    for player in (people.ann, people.dan):
        barriers.set_barrier(player=player, score=92)
    post_all(people.ann, tee)
    facts = [total(tee, gross, week, order_in_day=1) for week, gross in enumerate(SCORES)]
    for one in (facts[4], facts[9], facts[0], *facts[5:9], *reversed(facts[1:4])):
        post(people.dan, one)
        outlooks.refresh_player(player_id=people.dan.pk)
    assert state_of(people.dan) == state_of(people.ann)


def test_one_file_gives_what_single_posts_give(people: build.People, tee: Tee) -> None:
    post_all(people.ann, tee)
    many = [total(tee, gross, week) for week, gross in enumerate(SCORES)]
    rounds.post_rounds(player=people.dan, many=list(reversed(many)), posted_by=None)
    assert state_of(people.dan) == state_of(people.ann)


@pytest.mark.parametrize("place", [0, 3, 4, 9])
def test_a_withdrawn_round_leaves_no_mark(people: build.People, tee: Tee, place: int) -> None:
    for player in (people.ann, people.dan):
        barriers.set_barrier(player=player, score=91)
        barriers.set_barrier(player=player, score=80)
    played = post_all(people.ann, tee)
    low = post(people.ann, total(tee, 78, place, order_in_day=2))
    outlooks.refresh_due()
    withdraw(low)
    withdraw(played[place])
    for week, gross in enumerate(SCORES):
        if week != place:
            post(people.dan, total(tee, gross, week))
    assert state_of(people.ann) == state_of(people.dan)
    assert not Foretold.objects.filter(round__in=[low, played[place]]).exists()


def test_withdrawing_all_leaves_what_nobody_had(people: build.People, tee: Tee) -> None:
    barriers.set_barrier(player=people.ann, score=100)
    for played in post_all(people.ann, tee):
        outlooks.refresh_due()
        withdraw(played)
    state = state_of(people.ann)
    assert (state["n"], state["foretold"], state["proofs"]) == (0, [], [None])
    assert state["level"] == estimates.starting().as_plain()


def test_a_correction_gives_what_the_right_card_would_have(people: build.People, tee: Tee) -> None:
    played = post_all(people.ann, tee, (*SCORES[:5], 112, *SCORES[6:]))
    outlooks.refresh_due()
    correct(played[5], total(tee, SCORES[5], 5))
    post_all(people.dan, tee)
    assert state_of(people.ann) == state_of(people.dan)
    told = foretold_of(people.ann)
    # The rounds up to the corrected one met the outlook that was shown; those after it a new one.
    assert [one.is_hindsight for one in told] == [one.n_before > 5 for one in told]
    assert told[2].gross == SCORES[5]


def test_history_from_before_joining_is_hindsight(people: build.People, tee: Tee) -> None:
    for month in range(1, 7):
        post(people.ann, RoundFacts(tee=tee, played_on=date(2025, 8, 1) + timedelta(days=30 * month), gross=95))
    outlooks.refresh_due()
    told = foretold_of(people.ann)
    assert [one.is_hindsight for one in told] == [one.played_on < build.JOINED_ON for one in told]
    assert {one.is_hindsight for one in told} == {True, False}


# What counts


def test_nine_holes_never_count(people: build.People, tee: Tee) -> None:
    barriers.set_barrier(player=people.ann, score=120)
    for week in range(5):
        post(people.ann, RoundFacts(tee=tee, played_on=FIRST + timedelta(days=week), holes_in_play="front", gross=45))
    state = state_of(people.ann)
    assert (state["n"], state["foretold"], state["proofs"]) == (0, [], [None])


def test_a_nine_hole_course_played_twice_is_a_whole_round(people: build.People) -> None:
    short = build.tee(build.course(people.group, "Duck Pond", n_holes=9))
    barriers.set_barrier(player=people.ann, score=95)
    facts = RoundFacts(tee=short, played_on=FIRST, holes_in_play="twice", gross=94)
    post(people.ann, facts)
    post(people.ann, replace(facts, played_on=FIRST + timedelta(days=1), holes_in_play="nine", gross=40))
    state = state_of(people.ann)
    assert (state["n"], state["proofs"]) == (1, [94])


@pytest.mark.parametrize("count", [0, 1, 2])
def test_under_three_rounds_nothing_is_foretold(people: build.People, tee: Tee, count: int) -> None:
    barriers.set_barrier(player=people.ann, score=80)
    for week in range(count):
        post(people.ann, card(tee, FIRST + timedelta(days=week)))
    state = state_of(people.ann)
    assert (state["n"], state["foretold"]) == (count, [])
    told = Barrier.objects.get(player=people.ann).told
    assert told is None or told["what_if"] == []


def test_a_hole_picked_up_counts_at_its_cap_and_breaks_nothing(people: build.People, tee: Tee) -> None:
    barriers.set_barrier(player=people.ann, score=120)
    facts = card(tee, FIRST)
    post(people.ann, replace(facts, holes=(HoleFacts(number=1, is_picked_up=True), *facts.holes[1:])))
    assert state_of(people.ann)["n"] == 1
    # Rule 3.1a: without an index a hole counts at most par and five; the other seventeen are bogeys.
    level = estimates.Level.from_plain(Outlook.objects.get(player=people.ann).level)
    gross = 72 + 17 + 5
    wanted = estimates.level_of([estimates.Played(FIRST, (gross - 72.1) * 113 / 128, str(tee.set_id))])
    assert level.mean == pytest.approx(wanted.mean, rel=1e-12)
    assert Barrier.objects.get().broken_by is None


# Barriers


def test_the_first_round_under_it_is_the_proof(people: build.People, tee: Tee) -> None:
    barriers.set_barrier(player=people.ann, score=93)
    played = post_all(people.ann, tee)
    outlooks.refresh_due()
    barrier = Barrier.objects.get()
    # 93 is not under 93; the 92 of the fifth week is.
    assert (barrier.broken_by, barrier.broken_on) == (played[4], FIRST + timedelta(days=28))
    withdraw(played[4])
    outlooks.refresh_due()
    barrier.refresh_from_db()
    assert (barrier.broken_by, barrier.broken_on) == (played[7], FIRST + timedelta(days=49))
    withdraw(played[7])
    outlooks.refresh_due()
    barrier.refresh_from_db()
    assert (barrier.broken_by, barrier.broken_on) == (None, None)


def test_one_set_after_it_fell_is_shown_with_its_day(people: build.People, tee: Tee) -> None:
    played = post_all(people.ann, tee)
    assert barriers.set_barrier(player=people.ann, score=93).broken_by == played[4]


def test_a_barrier_on_one_tee_falls_there_alone_in_any_version_of_it(people: build.People, tee: Tee) -> None:
    other = build.tee(tee.course, "Teal")
    newer = build.tee(tee.course, "Heron", valid_from=FIRST + timedelta(days=10))
    Tee.objects.filter(pk=newer.pk).update(set_id=tee.set_id)
    barriers.set_barrier(player=people.ann, score=90, tee=tee)
    post(people.ann, total(other, 80, 0))
    outlooks.refresh_due()
    assert Barrier.objects.get().broken_by is None
    played = post(people.ann, total(Tee.objects.get(pk=newer.pk), 89, 2))
    outlooks.refresh_due()
    assert Barrier.objects.get().broken_by == played


def test_the_same_barrier_twice_is_refused(people: build.People, tee: Tee) -> None:
    barriers.set_barrier(player=people.ann, score=90)
    barriers.set_barrier(player=people.ann, score=90, tee=tee)
    barriers.set_barrier(player=people.dan, score=90)
    for place in (None, tee):
        with pytest.raises(Refused) as refused:
            barriers.set_barrier(player=people.ann, score=90, tee=place)
        assert refused.value.code == "barrier_twice"


def test_a_dozen_and_no_more(people: build.People) -> None:
    for score in range(80, 80 + barriers.MOST_BARRIERS):
        barriers.set_barrier(player=people.ann, score=score)
    with pytest.raises(Refused) as refused:
        barriers.set_barrier(player=people.ann, score=79)
    assert refused.value.code == "barriers_many"
    barriers.drop_barrier(barrier=Barrier.objects.get(score=80))
    barriers.set_barrier(player=people.ann, score=79)


@pytest.mark.parametrize("score", [59, 151, 0, -90])
def test_a_barrier_is_a_score_for_eighteen_holes(people: build.People, score: int) -> None:
    with pytest.raises(RuleBroken) as broken:
        barriers.set_barrier(player=people.ann, score=score)
    assert (broken.value.code, broken.value.field) == ("barrier_range", "score")
    assert not Barrier.objects.exists()


def test_ladder_and_what_ifs_are_kept_with_an_open_barrier(people: build.People, tee: Tee) -> None:
    for week in range(6):
        post(people.ann, card(tee, FIRST + timedelta(days=7 * week)))
    barriers.set_barrier(player=people.ann, score=85)
    assert outlooks.refresh_due() == 1
    told = Barrier.objects.get().told
    # From the usual score down to the barrier's last allowed one, 84; the kinds add up to it.
    level = estimates.Level.from_plain(Outlook.objects.get().level)
    gap = tee.ground.gross(level.usual_on(tee.key)) - 84
    assert told["ladder"]["gap"] == pytest.approx(gap)
    assert told["ladder"]["n_rounds"] == 6
    assert sum(leak["strokes"]["value"] for leak in told["ladder"]["leaks"] if leak["strokes"]) == pytest.approx(gap)
    assert [one["code"] for one in told["what_if"]] == [
        "one_penalty_fewer",
        "three_putts_halved",
        "no_worse_than_double",
    ]


def test_totals_alone_give_no_ladder(people: build.People, tee: Tee) -> None:
    post_all(people.ann, tee)
    barriers.set_barrier(player=people.ann, score=85)
    outlooks.refresh_due()
    told = Barrier.objects.get().told
    assert (told["ladder"], told["what_if"]) == (None, [])


def test_the_ladder_goes_with_the_last_card_it_rests_on(people: build.People, tee: Tee) -> None:
    barriers.set_barrier(player=people.ann, score=85)
    played = post(people.ann, card(tee, FIRST))
    outlooks.refresh_due()
    assert Barrier.objects.get().told["ladder"] is not None
    withdraw(played)
    outlooks.refresh_due()
    told = Barrier.objects.get().told
    assert told is None


def test_a_broken_barrier_keeps_no_ladder(people: build.People, tee: Tee) -> None:
    barriers.set_barrier(player=people.ann, score=85)
    post(people.ann, card(tee, FIRST))
    outlooks.refresh_due()
    under = post(people.ann, total(tee, 84, 1))
    outlooks.refresh_due()
    assert Barrier.objects.get().told is None
    withdraw(under)
    outlooks.refresh_due()
    assert Barrier.objects.get().told["ladder"]["n_rounds"] == 1


def test_erasing_a_person_takes_all_of_it(people: build.People, tee: Tee) -> None:
    post_all(people.ann, tee)
    post_all(people.dan, tee)
    for player in (people.ann, people.dan):
        barriers.set_barrier(player=player, score=90)
    outlooks.refresh_due()
    assert people.ann.account is not None
    leaving.ask_to_erase(account=people.ann.account)
    leaving.erase_due(now=timezone.now() + timedelta(days=60))
    for model in (Barrier, Outlook, Foretold):
        assert set(model.objects.values_list("player_id", flat=True)) == {people.dan.pk}


def test_an_erased_player_is_never_due(people: build.People, tee: Tee) -> None:
    post_all(people.ann, tee, SCORES[:3])
    Player.objects.filter(pk=people.ann.pk).update(erased_at="2026-05-01T00:00:00Z", name="")
    assert outlooks.due_players(10) == []


def test_a_player_without_a_round_has_nothing(people: build.People) -> None:
    assert outlooks.refresh_player(player_id=people.ann.pk) is None
    assert not Course.objects.exists()
    assert not Outlook.objects.exists()


# Meanwhile


@pytest.mark.django_db(transaction=True)
def test_rounds_posted_while_it_is_worked_out_are_all_in_it_at_last() -> None:
    people = build.people()
    tee = build.tee(build.course(people.group))
    tee = Tee.objects.select_related("course__group").prefetch_related("holes").get(pk=tee.pk)
    post_all(people.ann, tee, SCORES[:4])

    def run(act: Any) -> Any:
        try:
            return act()
        finally:
            connection.close()

    def later(week: int) -> Any:
        return lambda: post(people.ann, total(tee, SCORES[week], week))

    with ThreadPoolExecutor(3) as threads:
        list(threads.map(run, (later(4), outlooks.refresh_due, later(5))))
    outlooks.refresh_due()
    assert outlooks.due_players(10) == []
    post_all(people.dan, tee, SCORES[:6])
    assert state_of(people.ann) == state_of(people.dan)
