import logging
from datetime import timedelta

import pytest
from django.contrib.sessions.models import Session
from django.utils import timezone

from league.config import app
from league.management.commands.work import Timetable

TASK = "league.tasks.clear_what_has_ended"


@pytest.fixture
def ended_sign_in(db):
    return Session.objects.create(
        session_key="ended", session_data="", expire_date=timezone.now() - timedelta(minutes=1)
    )


@pytest.fixture
def timetable():
    """As if it had last run two days ago."""
    made = Timetable()
    made.last_run = {task: app.now() - timedelta(days=2) for task in made.last_run}
    return made


def test_what_is_due_is_done_once(ended_sign_in, timetable):
    Session.objects.create(session_key="goes on", session_data="", expire_date=timezone.now() + timedelta(days=1))
    done = [timetable.run_next() for _ in timetable.schedules]
    assert sorted(done) == sorted(timetable.schedules)
    assert list(Session.objects.values_list("session_key", flat=True)) == ["goes on"]
    assert timetable.run_next() is None


def test_nothing_is_done_before_its_time(ended_sign_in):
    assert Timetable().run_next() is None
    assert Session.objects.filter(pk="ended").exists()


def test_a_task_that_fails_is_logged_and_the_others_go_on(ended_sign_in, timetable, caplog):
    @app.task(name="tests.fails")
    def fails() -> None:
        raise ValueError("on purpose")

    timetable.schedules = {"tests.fails": timetable.schedules[TASK], TASK: timetable.schedules[TASK]}
    timetable.last_run["tests.fails"] = timetable.last_run[TASK]
    with caplog.at_level(logging.ERROR):
        assert [timetable.run_next(), timetable.run_next()] == ["tests.fails", TASK]
    app.tasks.unregister("tests.fails")
    assert "tests.fails failed" in caplog.text
    assert not Session.objects.filter(pk="ended").exists()


def test_every_entry_of_the_timetable_is_a_task_that_exists():
    assert set(Timetable().schedules) <= set(app.tasks)
