"""Versions of a tee never overlap, whatever is done in whatever order; those played on keep their numbers."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from threading import Barrier, Thread

import pytest
from django.db import connection
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from league.models import AuditEntry, Course, Round, Tee
from league.rules.errors import RuleBroken
from league.rules.printed import PrintedTee
from league.services import courses
from league.services.errors import Refused, Stale
from tests import build

FIRST_DAY = date(2025, 1, 1)


def play(tee: Tee, player: object, day: date) -> Round:
    return Round.objects.create(
        player=player, tee=tee, n_holes=18, played_on=day, gross=90, fingerprint="", entered_at=timezone.now()
    )


@pytest.fixture
def people() -> build.People:
    return build.people()


@pytest.fixture
def tee(people: build.People) -> Tee:
    return build.tee(build.course(people.group))


def printed(tee: Tee, **changes: object) -> PrintedTee:
    return replace(Tee.objects.get(pk=tee.pk).as_printed(), **changes)


@pytest.mark.django_db
class TestRerating:
    def test_the_old_version_ends_the_day_before_and_keeps_its_rounds(self, people: build.People, tee: Tee) -> None:
        played = play(tee, people.ann, date(2026, 4, 30))
        new = courses.rerate_tee(
            actor=people.ben, tee=tee, to=printed(tee, valid_from=date(2026, 5, 1), course_rating=Decimal("72.9"))
        )
        tee.refresh_from_db()
        assert (tee.valid_until, new.valid_from, new.valid_until) == (date(2026, 4, 30), date(2026, 5, 1), None)
        assert (tee.course_rating, new.course_rating) == (Decimal("72.1"), Decimal("72.9"))
        assert new.set_id == tee.set_id
        assert Round.objects.get(pk=played.pk).tee_id == tee.pk
        assert courses.tee_on(tee, date(2026, 4, 30)) == tee
        assert courses.tee_on(tee, date(2026, 5, 1)) == new

    def test_it_is_refused_while_a_round_stands_on_the_old_rating_after_that_day(
        self, people: build.People, tee: Tee
    ) -> None:
        play(tee, people.ann, date(2026, 5, 1))
        with pytest.raises(Refused) as refused:
            courses.rerate_tee(actor=people.ben, tee=tee, to=printed(tee, valid_from=date(2026, 5, 1)))
        assert refused.value.code == "tee_used_on_those_days"
        assert Tee.objects.count() == 1

    @pytest.mark.parametrize("first_day", [None, FIRST_DAY])
    def test_it_needs_a_day_after_the_present_first_day(
        self, people: build.People, tee: Tee, first_day: date | None
    ) -> None:
        Tee.objects.update(valid_from=FIRST_DAY)
        with pytest.raises(RuleBroken) as broken:
            courses.rerate_tee(actor=people.ben, tee=tee, to=printed(tee, valid_from=first_day))
        assert broken.value.field == "valid_from"

    def test_only_the_newest_version_is_re_rated(self, people: build.People, tee: Tee) -> None:
        courses.rerate_tee(actor=people.ben, tee=tee, to=printed(tee, valid_from=date(2026, 5, 1)))
        with pytest.raises(Refused) as refused:
            courses.rerate_tee(actor=people.ben, tee=tee, to=printed(tee, valid_from=date(2026, 3, 1)))
        assert refused.value.code == "newer_version"

    def test_deleting_the_new_version_brings_the_old_one_back(self, people: build.People, tee: Tee) -> None:
        new = courses.rerate_tee(actor=people.ben, tee=tee, to=printed(tee, valid_from=date(2026, 5, 1)))
        courses.delete_tee(actor=people.ben, tee=new)
        tee.refresh_from_db()
        assert tee.valid_until is None


@pytest.mark.django_db
class TestUsedTees:
    @pytest.mark.parametrize(
        "changes",
        [
            {"course_rating": Decimal("72.2")},
            {"slope_rating": 127},
            {"front_course_rating": Decimal("36.2")},
            {"rated_for": "men"},
        ],
    )
    def test_what_counts_is_never_changed(self, people: build.People, tee: Tee, changes: dict[str, object]) -> None:
        play(tee, people.ann, date(2026, 5, 1))
        with pytest.raises(Refused) as refused:
            courses.change_tee(actor=people.ben, tee=tee, to=printed(tee, **changes))
        assert refused.value.code == "tee_used"
        assert printed(tee) == tee.as_printed()

    def test_a_par_or_a_stroke_index_is_never_changed(self, people: build.People, tee: Tee) -> None:
        play(tee, people.ann, date(2026, 5, 1))
        holes = printed(tee).holes
        swapped = (
            replace(holes[0], stroke_index=holes[1].stroke_index),
            replace(holes[1], stroke_index=holes[0].stroke_index),
            *holes[2:],
        )
        for changed in (swapped, (replace(holes[0], par=5), *holes[1:])):
            with pytest.raises(Refused):
                courses.change_tee(actor=people.ben, tee=tee, to=printed(tee, holes=changed))

    def test_a_typing_error_in_the_name_is_put_right_on_every_version(self, people: build.People, tee: Tee) -> None:
        play(tee, people.ann, date(2026, 4, 1))
        new = courses.rerate_tee(actor=people.ben, tee=tee, to=printed(tee, valid_from=date(2026, 5, 1)))
        courses.change_tee(actor=people.ben, tee=tee, to=printed(tee, name="Grey Heron"))
        assert set(Tee.objects.values_list("name", flat=True)) == {"Grey Heron"}
        assert Tee.objects.get(pk=new.pk).version == new.version + 1

    def test_its_days_must_go_on_covering_every_round(self, people: build.People, tee: Tee) -> None:
        play(tee, people.ann, date(2026, 5, 1))
        courses.change_tee(actor=people.ben, tee=tee, to=printed(tee, valid_until=date(2026, 5, 1)))
        with pytest.raises(Refused) as refused:
            courses.change_tee(actor=people.ben, tee=tee, to=printed(tee, valid_until=date(2026, 4, 30)))
        assert refused.value.code == "tee_used_on_those_days"

    def test_neither_it_nor_its_course_is_deleted(self, people: build.People, tee: Tee) -> None:
        play(tee, people.ann, date(2026, 5, 1))
        with pytest.raises(Refused):
            courses.delete_tee(actor=people.ben, tee=tee)
        with pytest.raises(Refused):
            courses.delete_course(actor=people.ben, course=tee.course)
        assert Tee.objects.filter(pk=tee.pk).exists()


@pytest.mark.django_db
class TestEntering:
    def test_an_unusual_rating_is_asked_about_and_stored_once_confirmed(self, people: build.People, tee: Tee) -> None:
        odd = printed(tee, name="Teal", course_rating=Decimal("720.0"))
        with pytest.raises(courses.Unconfirmed) as asked:
            courses.add_tee(actor=people.ben, course=tee.course, tee=odd)
        assert [doubt.code for doubt in asked.value.doubts] == ["rating_unusual"]
        assert "72.0" in asked.value.doubts[0].message
        assert Tee.objects.count() == 1
        made = courses.add_tee(actor=people.ben, course=tee.course, tee=odd, confirmed=["rating_unusual"])
        assert made.course_rating == Decimal("720.0")

    def test_a_confirmed_value_is_not_asked_about_again(self, people: build.People, tee: Tee) -> None:
        odd = printed(tee, name="Teal", course_rating=Decimal("49.9"))
        made = courses.add_tee(actor=people.ben, course=tee.course, tee=odd, confirmed=courses.ALL_CONFIRMED)
        renamed = courses.change_tee(actor=people.ben, tee=made, to=replace(odd, name="Wren"))
        assert renamed.name == "Wren"

    def test_an_unused_tee_takes_new_holes(self, people: build.People, tee: Tee) -> None:
        holes = printed(tee).holes
        reversed_order = tuple(replace(hole, stroke_index=19 - hole.stroke_index) for hole in holes)
        changed = courses.change_tee(actor=people.ben, tee=tee, to=printed(tee, holes=reversed_order))
        assert changed.as_printed().holes == reversed_order

    def test_a_name_and_a_gender_mean_one_tee(self, people: build.People, tee: Tee) -> None:
        with pytest.raises(RuleBroken) as broken:
            courses.add_tee(actor=people.ben, course=tee.course, tee=printed(tee, name="HERON"))
        assert (broken.value.code, broken.value.field) == ("tee_twice", "name")
        other = courses.add_tee(actor=people.ben, course=tee.course, tee=printed(tee, rated_for="men"))
        with pytest.raises(RuleBroken):
            courses.change_tee(actor=people.ben, tee=other, to=printed(tee))
        assert Tee.objects.count() == 2

    def test_versions_of_a_set_are_for_one_gender(self, people: build.People, tee: Tee) -> None:
        new = courses.rerate_tee(actor=people.ben, tee=tee, to=printed(tee, valid_from=date(2026, 5, 1)))
        with pytest.raises(RuleBroken) as broken:
            courses.change_tee(actor=people.ben, tee=new, to=printed(new, rated_for="men"))
        assert broken.value.field == "rated_for"

    def test_a_stale_writer_changes_nothing(self, people: build.People, tee: Tee) -> None:
        courses.change_tee(actor=people.ben, tee=tee, to=printed(tee, name="Teal"), if_version=1)
        with pytest.raises(Stale):
            courses.change_tee(actor=people.ben, tee=tee, to=printed(tee, name="Wigeon"), if_version=1)
        assert Tee.objects.get().name == "Teal"

    def test_a_file_with_one_bad_tee_stores_nothing(self, people: build.People, tee: Tee) -> None:
        good = printed(tee)
        tees = [good, replace(good, name="Teal", slope_rating=156)]
        with pytest.raises(RuleBroken) as broken:
            courses.create_course(
                actor=people.ben, group=people.group, facts=courses.CourseFacts(name="Fen"), tees=tees
            )
        assert broken.value.field == "tees.1.slope_rating"
        assert Course.objects.count() == 1

    def test_a_file_with_versions_that_overlap_is_refused(self, people: build.People, tee: Tee) -> None:
        early = printed(tee, valid_until=date(2026, 5, 1))
        late = printed(tee, valid_from=date(2026, 5, 1))
        with pytest.raises(RuleBroken) as broken:
            courses.create_course(
                actor=people.ben,
                group=people.group,
                facts=courses.CourseFacts(name="Fen"),
                tees=[early, late],
            )
        assert broken.value.code == "versions_overlap"

    def test_a_resting_group_adds_nothing(self, people: build.People) -> None:
        people.group.rests_since = timezone.now()
        with pytest.raises(Refused) as refused:
            courses.create_course(actor=people.ben, group=people.group, facts=courses.CourseFacts(name="Fen"))
        assert refused.value.code == "group_rests"

    @pytest.mark.parametrize(("facts", "field"), [({"n_holes": 12}, "n_holes"), ({"time_zone": "Mars"}, "time_zone")])
    def test_a_course_has_9_or_18_holes_and_a_known_zone(
        self, people: build.People, facts: dict[str, object], field: str
    ) -> None:
        with pytest.raises(RuleBroken) as broken:
            courses.create_course(actor=people.ben, group=people.group, facts=courses.CourseFacts(name="Fen", **facts))
        assert broken.value.field == field

    def test_the_group_can_read_who_did_it(self, people: build.People, tee: Tee) -> None:
        courses.change_tee(actor=people.ben, tee=tee, to=printed(tee, slope_rating=127))
        entry = AuditEntry.objects.get(action="tee_changed")
        assert (entry.group, entry.actor) == (people.group, people.ben)
        assert (entry.before["slope_rating"], entry.after["slope_rating"]) == (128, 127)


DAYS = st.integers(0, 40).map(lambda n: FIRST_DAY + timedelta(days=n))
STEPS = st.lists(
    st.one_of(
        st.tuples(st.just("rerate"), st.integers(0, 9), DAYS),
        st.tuples(st.just("delete"), st.integers(0, 9), st.none()),
        st.tuples(st.just("span"), st.integers(0, 9), st.tuples(st.none() | DAYS, st.none() | DAYS)),
        st.tuples(st.just("play"), st.integers(0, 9), DAYS),
    ),
    max_size=12,
)


class TestVersionsNeverOverlap(TestCase):
    def setUp(self) -> None:
        self.people = build.people()
        self.first = build.tee(build.course(self.people.group))

    @settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
    @given(STEPS)
    def test_after_any_steps_each_day_has_at_most_one_version_and_each_round_its_own(self, steps: list) -> None:
        for step, place, value in steps:
            versions = list(Tee.objects.filter(set_id=self.first.set_id).order_by("created_at"))
            if versions:
                self.act(step, versions[place % len(versions)], value)
            self.check()

    def act(self, step: str, tee: Tee, value: object) -> None:
        ben = self.people.ben
        try:
            if step == "rerate":
                courses.rerate_tee(actor=ben, tee=tee, to=printed(tee, valid_from=value))
            elif step == "delete":
                courses.delete_tee(actor=ben, tee=tee)
            elif step == "span":
                courses.change_tee(actor=ben, tee=tee, to=printed(tee, valid_from=value[0], valid_until=value[1]))
            elif tee.is_valid_on(value):
                play(tee, self.people.ann, value)
        except (Refused, RuleBroken):
            pass

    def check(self) -> None:
        versions = list(Tee.objects.filter(set_id=self.first.set_id))
        for n_days in range(-1, 42):
            day = FIRST_DAY + timedelta(days=n_days)
            assert sum(version.is_valid_on(day) for version in versions) <= 1
        for played in Round.objects.select_related("tee"):
            assert played.tee.is_valid_on(played.played_on)


@pytest.mark.django_db(transaction=True)
def test_of_two_who_re_rate_at_the_same_moment_one_is_refused() -> None:
    people = build.people()
    tee = build.tee(build.course(people.group))
    new = printed(tee, valid_from=date(2026, 5, 1), slope_rating=130)
    start, told = Barrier(2), []

    def rerate() -> None:
        start.wait()
        try:
            courses.rerate_tee(actor=people.ben, tee=tee, to=new)
            told.append("stored")
        except (Refused, RuleBroken) as refused:
            told.append(refused.code)
        finally:
            connection.close()

    both = [Thread(target=rerate) for _ in range(2)]
    for one in both:
        one.start()
    for one in both:
        one.join()
    assert sorted(told) == ["newer_version", "stored"]
    assert Tee.objects.count() == 2
