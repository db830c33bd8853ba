import logging
import os
import signal
import threading
from datetime import datetime

from celery.schedules import BaseSchedule, schedule
from django.core.management.base import BaseCommand
from django.db import close_old_connections

from league.config import app

log = logging.getLogger(__name__)


def as_schedule(given: BaseSchedule | float) -> BaseSchedule:
    """A plain number in the timetable is a count of seconds."""
    return given if isinstance(given, BaseSchedule) else schedule(given, app=app)


class Timetable:
    """The entries of CELERY_BEAT_SCHEDULE, run here one after another instead of through a broker."""

    def __init__(self) -> None:
        app.autodiscover_tasks(["league"], force=True)
        self.schedules: dict[str, BaseSchedule] = {
            entry["task"]: as_schedule(entry["schedule"]) for entry in app.conf.beat_schedule.values()
        }
        self.last_run: dict[str, datetime] = {task: app.now() for task in self.schedules}

    def run_next(self) -> str | None:
        """One task that is due. If it fails that is logged, and it comes again: what it works on is still due then."""
        for task, plan in self.schedules.items():
            if plan.is_due(self.last_run[task]).is_due:
                self.last_run[task] = app.now()
                try:
                    app.tasks[task]()
                except Exception:
                    log.exception("%s failed; it comes again at its next time", task)
                return task
        return None


class Command(BaseCommand):
    help = "Runs the timetable of background work, without Redis. `start` runs this beside the server."

    def handle(self, *args: object, **options: object) -> None:
        ending = threading.Event()
        for number in (signal.SIGTERM, signal.SIGINT):
            signal.signal(number, lambda *_: ending.set())
        timetable = Timetable()
        parent = os.getppid()
        while not ending.wait(1) and os.getppid() == parent:
            close_old_connections()
            timetable.run_next()
