import os
import resource
import signal
import stat
import time

import pytest
from celery import Celery

from tests.faults.running import becomes_true, environment, free_port, is_gone, manage, rows, service


@pytest.fixture
def filled(seeded, tmp_path):
    """A data folder that was started before: its database stands already."""
    return seeded.copied_to(tmp_path / "data")


def is_one_sentence(text: str) -> bool:
    return len(text.strip().splitlines()) == 1 and "Traceback" not in text and "Error" not in text


def test_it_starts_answers_stops_and_keeps_all_data(tmp_path):
    with service(tmp_path / "data") as started:
        printed = started.wait_until_ready()
        assert f"http://127.0.0.1:{started.port}/" in printed
        assert started.get("/healthz") == 200
        children = started.children()
        assert len(children) == 4
        assert started.end(signal.SIGINT)[0] == 0
        assert all(is_gone(pid) for pid in children)
    rows(tmp_path / "data", "INSERT INTO league_cache VALUES ('mark', 'kept', '9999-01-01')")
    secret = (tmp_path / "data" / "secret_key").read_bytes()
    with service(tmp_path / "data") as started:
        started.wait_until_ready()
        assert started.get("/healthz") == 200
        assert started.end(signal.SIGTERM)[0] == 0
    assert rows(tmp_path / "data", "SELECT value FROM league_cache WHERE cache_key = 'mark'") == [("kept",)]
    assert (tmp_path / "data" / "secret_key").read_bytes() == secret
    assert stat.S_IMODE((tmp_path / "data" / "secret_key").stat().st_mode) == 0o600


def test_a_busy_port_is_named_and_nothing_is_touched(filled, tmp_path):
    with service(filled) as started:
        started.wait_until_ready()
        second = manage("start", "--port", str(started.port), env=environment(tmp_path / "other"))
        assert started.get("/healthz") == 200
    assert second.returncode == 1
    assert is_one_sentence(second.stderr)
    assert f"Port {started.port} is in use" in second.stderr
    assert not (tmp_path / "other" / "league.sqlite3").exists()


def test_when_one_of_them_dies_all_end_and_it_says_which(filled):
    with service(filled) as started:
        started.wait_until_ready()
        server, worker, *_ = children = started.children()
        os.kill(worker, signal.SIGKILL)
        code, errors = started.ended()
        assert code == 1
        assert "The worker ended by itself, so everything was stopped" in errors
        assert all(is_gone(pid) for pid in children)


@pytest.mark.parametrize("under_nohup", [False, True])
def test_the_end_of_the_terminal_ends_it_but_under_nohup(filled, under_nohup):
    before = signal.signal(signal.SIGHUP, signal.SIG_IGN if under_nohup else signal.SIG_DFL)
    try:
        with service(filled) as started:
            started.wait_until_ready()
            os.kill(started.process.pid, signal.SIGHUP)
            if under_nohup:
                time.sleep(1)
                assert started.get("/healthz") == 200
                assert started.end()[0] == 0
            else:
                assert started.ended()[0] == 0
    finally:
        signal.signal(signal.SIGHUP, before)


def test_killed_hard_it_leaves_nothing_running_and_starts_again(filled):
    with service(filled) as started:
        started.wait_until_ready()
        children = started.children()
        started.end(signal.SIGKILL)
        assert all(is_gone(pid) for pid in children)
    with service(filled) as started:
        started.wait_until_ready()
        assert started.get("/healthz") == 200


def test_with_redis_celery_does_the_work(filled, redis_url):
    with service(filled, LEAGUE_REDIS_URL=redis_url) as started:
        started.wait_until_ready()
        assert started.get("/healthz") == 200
        children = started.children()
        rows(filled, "INSERT INTO django_session VALUES ('ended', '', '2001-01-01')")
        sender = Celery(broker=redis_url.replace("unix://", "redis+socket://").replace("?db=", "?virtual_host="))
        sender.send_task("league.tasks.clear_what_has_ended")
        assert becomes_true(lambda: not rows(filled, "SELECT * FROM django_session"))
        sender.close()
        assert started.end()[0] == 0
        assert all(is_gone(pid) for pid in children)


@pytest.mark.parametrize("command", [["start"], ["migrate"]])
def test_an_unwritable_data_folder_is_named(tmp_path, command):
    (tmp_path / "file").touch()
    refused = manage(*command, env=environment(tmp_path / "file" / "data"))
    assert refused.returncode == 1
    assert is_one_sentence(refused.stderr)
    assert f"The data folder {tmp_path / 'file' / 'data'} cannot be written to" in refused.stderr


@pytest.mark.parametrize(
    ("arguments", "extra", "said"),
    [
        (["--port", "70000"], {}, "Port 70000 does not exist"),
        (["--host", "no-such-host.invalid"], {}, "The address no-such-host.invalid is not known here"),
        (["--host", "0.0.0.0"], {}, "say under which names"),
        ([], {"LEAGUE_HTTPS": "perhaps"}, "LEAGUE_HTTPS is “perhaps”; write on or off."),
        ([], {"LEAGUE_DATABASE_URL": "oracle://x/y"}, "LEAGUE_DATABASE_URL is not understood"),
        (
            [],
            {"LEAGUE_DATABASE_URL": "postgresql:///nowhere?host=/nonexistent"},
            "cannot be reached, nothing was started",
        ),
    ],
)
def test_what_cannot_be_is_refused_in_one_sentence(tmp_path, arguments, extra, said):
    refused = manage("start", "--port", str(free_port()), *arguments, env=environment(tmp_path / "data", **extra))
    assert refused.returncode == 1
    assert said in refused.stderr
    assert is_one_sentence(refused.stderr)


def test_a_full_disk_is_named(tmp_path):
    def small_files_only() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (100_000, 100_000))

    refused = manage(
        "start", "--port", str(free_port()), env=environment(tmp_path / "data"), preexec_fn=small_files_only
    )
    assert refused.returncode == 1
    assert is_one_sentence(refused.stderr)
    assert "The service could not be made ready, nothing was started" in refused.stderr


def test_behind_https_the_deployment_check_has_nothing_to_say(tmp_path):
    extra = {"LEAGUE_HTTPS": "on", "LEAGUE_HOSTS": "cards.example"}
    checked = manage("check", "--deploy", "--fail-level", "DEBUG", env=environment(tmp_path / "data", **extra))
    assert checked.returncode == 0, checked.stderr
    assert "no issues (0 silenced)" in checked.stdout
