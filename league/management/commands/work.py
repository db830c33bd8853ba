import logging
import os
import signal
import threading
from datetime import datetime

from celery.schedules import BaseSchedule, maybe_schedule
from django.core.management.base import BaseCommand
from django.db import close_old_connections

from league.config import app

log = logging.getLogger(__name__)


class Timetable:
    """The entries of CELERY_BEAT_SCHEDULE, run here one after another instead of through a broker."""

    def __init__(self) -> None:
        app.loader.import_default_modules()
        self.schedules: dict[str, BaseSchedule] = {
            entry["task"]: maybe_schedule(entry["schedule"], app=app) for entry in app.conf.beat_schedule.values()
        }
        self.last_run: dict[str, datetime] = {task: app.now() for task in self.schedules}

    def run_due(self) -> list[str]:
        """A task that fails is logged and comes again at its next time: what it works on is still due then."""
        due = [task for task, schedule in self.schedules.items() if schedule.is_due(self.last_run[task]).is_due]
        for task in due:
            self.last_run[task] = app.now()
            close_old_connections()
            try:
                app.tasks[task]()
            except Exception:
                log.exception("%s failed; it comes again at its next time", task)
        return due


class Command(BaseCommand):
    help = "Runs the timetable of background work, without Redis. `start` runs this beside the server."

    def handle(self, *args: object, **options: object) -> None:
        ending = threading.Event()
        for number in (signal.SIGTERM, signal.SIGINT):
            signal.signal(number, lambda *_: ending.set())
        timetable = Timetable()
        parent = os.getppid()
        while not ending.wait(1) and os.getppid() == parent:
            timetable.run_due()
