#!/usr/bin/env python3
"""Runs the service's commands, after making the environment they need.

    python3 manage.py start [--demo] [--port N] [--host ADDRESS]    the service, until Ctrl-C
    python3 manage.py test [arguments of pytest]                    all tests, or those named
    python3 manage.py help                                          every other command

Needs nothing but Python 3.11 or newer. The libraries go into .venv beside this file, each checked against the hash in
the lock file. This file alone must be readable by old Pythons too, since one of its jobs is to say that they are old.
"""

from __future__ import print_function

import hashlib
import importlib
import os
import shutil
import signal
import subprocess
import sys

OLDEST = (3, 11)
HERE = os.path.dirname(os.path.abspath(__file__))
VENV = os.path.join(HERE, ".venv")
STAMP = os.path.join(VENV, "installed.txt")
RUNTIME_LOCK = "requirements.lock"
TEST_LOCK = "requirements-test.lock"  # holds all of the other one, in the same versions


def stop(sentence):
    print(sentence, file=sys.stderr)
    sys.exit(1)


def venv_python():
    folder, name = ("Scripts", "python.exe") if os.name == "nt" else ("bin", "python")
    return os.path.join(VENV, folder, name)


def is_inside():
    return os.path.realpath(sys.prefix) == os.path.realpath(VENV)


def lock_line(name):
    with open(os.path.join(HERE, name), "rb") as lock:
        return "{0} {1}".format(name, hashlib.sha256(lock.read()).hexdigest())


def version_line():
    return "python {0}.{1}".format(*sys.version_info[:2])


def installed():
    try:
        with open(STAMP) as stamp:
            return stamp.read().splitlines() if os.path.exists(venv_python()) else []
    except (IOError, OSError):
        return []


def is_ready(lock):
    return {version_line(), lock_line(lock)} <= set(installed())


def make_ready(lock):
    """Makes .venv or brings it up to date. The stamp is written last: an install cut short is begun again."""
    try:
        with Turn():
            if is_ready(lock):
                return
            print("Installing the libraries into .venv; this is done once and takes a minute ...", file=sys.stderr)
            sound = version_line() in installed()
            if os.path.exists(STAMP):
                os.remove(STAMP)
            if not sound and not is_inside():
                make_venv()
            install(lock)
            lines = [version_line(), lock_line(lock)] + ([lock_line(RUNTIME_LOCK)] if lock == TEST_LOCK else [])
            with open(STAMP + ".new", "w") as stamp:
                stamp.write("\n".join(lines) + "\n")
            os.rename(STAMP + ".new", STAMP)
    except (IOError, OSError, ValueError) as error:
        stop(
            "The folder .venv in {0} cannot be made ({1}); put the program where it may write.".format(
                HERE, getattr(error, "strerror", None) or error
            )
        )


def make_venv():
    try:
        importlib.import_module("ensurepip")
        venv = importlib.import_module("venv")
    except ImportError:
        stop(
            "This Python comes without venv; on Debian or Ubuntu install it with: "
            "apt install python{0}.{1}-venv".format(*sys.version_info[:2])
        )
    if os.path.isdir(VENV):
        shutil.rmtree(VENV)
    venv.create(VENV, symlinks=os.name != "nt")
    run_or_stop([venv_python(), "-Im", "ensurepip", "--upgrade", "--default-pip"])


def install(lock):
    run_or_stop(
        [
            venv_python(),
            "-m",
            "pip",
            "install",
            "--quiet",
            "--no-input",
            "--disable-pip-version-check",
            "--retries",
            "2",
            "--require-hashes",
            "--requirement",
            os.path.join(HERE, lock),
        ]
    )


def run_or_stop(command):
    environment = {name: value for name, value in os.environ.items() if name not in ("PYTHONHOME", "PYTHONPATH")}
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, cwd=HERE, env=environment)
    signal.signal(signal.SIGTERM, signal.default_int_handler)
    try:
        output = process.communicate()[0].decode("utf-8", "replace")
    except KeyboardInterrupt:
        process.terminate()
        process.wait()
        stop("The installation was ended; the next start begins it again.")
    finally:
        signal.signal(signal.SIGTERM, signal.SIG_DFL)
    if process.returncode:
        stop(explain(output))


def explain(output):
    if "No space left on device" in output:
        return "The disk is full, the libraries could not be installed; free about 1 GB and start again."
    if "DO NOT MATCH THE HASHES" in output:
        return "A downloaded library differs from the one in the lock file, so nothing was installed; try again later."
    if "Read-only file system" in output or "Permission denied" in output:
        return "The folder .venv in {0} cannot be written to; put the program where it may write.".format(HERE)
    for sign in (
        "NewConnectionError",
        "ConnectTimeout",
        "Name or service not known",
        "NameResolutionError",
        "Connection refused",
        "Network is unreachable",
        "ProxyError",
        "Max retries exceeded",
        "timed out",
        "Temporary failure in name resolution",
        "connection error",
        "broken by",
    ):
        if sign in output:
            return "The libraries could not be downloaded: is this machine connected? Start again when it is."
    lines = [line for line in output.splitlines() if line.strip()]
    errors = [line for line in lines if line.startswith("ERROR")] or lines or ["no reason given"]
    return "The libraries could not be installed: {0}".format(errors[-1])


class Turn(object):
    """Two commands at once install one after the other; the lock ends with the process. Elsewhere than on Linux and
    macOS they simply should not be started at once."""

    def __enter__(self):
        self.file = open(os.path.abspath(__file__))
        try:
            importlib.import_module("fcntl").flock(self.file, 2)
        except (ImportError, IOError, OSError):
            pass

    def __exit__(self, *_):
        self.file.close()


def replace(command):
    sys.stdout.flush()
    sys.stderr.flush()
    if os.name == "nt":
        sys.exit(subprocess.call(command))
    os.execv(command[0], command)


def run(arguments):
    if arguments[:1] == ["test"]:
        replace([sys.executable, "-m", "tests.run"] + arguments[1:])
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "league.config.settings")
    refused = importlib.import_module("league.config.environment").SettingRefused
    try:
        importlib.import_module("league.config.settings")
    except refused as refusal:
        stop(str(refusal))
    importlib.import_module("django.core.management").execute_from_command_line([sys.argv[0]] + arguments)


def main(arguments):
    if sys.version_info[:2] < OLDEST:
        stop(
            "This is Python {0}.{1}; Python {2}.{3} or newer is needed.".format(*(tuple(sys.version_info[:2]) + OLDEST))
        )
    # A machine image that brings the libraries itself says so, and nothing is made or installed.
    if os.environ.get("LEAGUE_OWN_PYTHON") == "1":
        return run(arguments)
    lock = TEST_LOCK if arguments[:1] == ["test"] else RUNTIME_LOCK
    if not is_ready(lock):
        make_ready(lock)
    if is_inside():
        return run(arguments)
    return replace([venv_python(), os.path.abspath(__file__)] + arguments)


if __name__ == "__main__":
    main(sys.argv[1:])
