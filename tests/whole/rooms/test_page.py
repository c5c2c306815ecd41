"""What docs/how-to/rooms.md has people type at the centre does what it says: roles, labels, dump, restore."""

import re
import shutil
import subprocess
from contextlib import closing
from pathlib import Path

import psycopg
import pytest
from psycopg import errors

from daemon.care.deed import Deed
from daemon.gathering.database import check_prepared, prepare
from daemon.gathering.plan import read_plan
from daemon.seconds import DAY_S, HOUR_S
from daemon.store import alarms, deeds, outbox, readings
from daemon.store.alarms import AlarmRow
from daemon.store.file import WritingStore
from sensors.reading import Quality, Reading
from tests.kit.page_broker import PAGE
from tests.kit.pages import fenced
from tests.kit.postgres import Cluster, cluster_running, needs_postgres
from tests.kit.told_boxes import deed, take

NAME = "naupliad"
SEARCH = "-csearch_path=naupliad"


def test_the_gatherers_file_on_the_page_is_one(tmp_path: Path) -> None:
    (told,) = [body for body in fenced(PAGE, "toml") if "[gatherer]" in body]
    (tmp_path / "gather.toml").write_text(told, "utf-8")
    plan = read_plan(tmp_path / "gather.toml")
    assert (plan.broker.user, plan.broker.security, plan.id) == ("gatherer-one", "tls", "one")


def shell(having: str) -> str:
    """The one line of the page's shell that holds this."""
    (found,) = [line for body in fenced(PAGE, "sh") for line in body.splitlines() if having in line]
    return found


def sql_in(line: str) -> str:
    found = re.search(r'-c "(.*)"$', line)
    assert found is not None
    return found[1]


def run_as_postgres(cluster: Cluster, line: str, dump: Path) -> None:
    """A line of `sudo -u postgres`, on the test's own cluster and its own file."""
    words = line.removeprefix("sudo -u postgres ").replace("/var/backups/naupliad.dump", str(dump)).split()
    program = shutil.which(words[0])
    if program is None:
        pytest.skip(f"no {words[0]} here")
    where = ["-h", str(cluster.folder), "-U", "postgres"]
    subprocess.run([program, *where, *words[1:]], check=True)


def test_who_switches_the_record_off_and_on_tells_a_day_once_more_under_higher_numbers(
    tmp_path: Path,
) -> None:
    """As the page says to, where the centre was put back from a dump of the same day."""
    now = 1_800_000_000 // HOUR_S * HOUR_S
    with closing(WritingStore(tmp_path, durable=False)) as store:
        with store.transaction() as connection:
            outbox.begin(connection, "k8-plover", now - 3 * DAY_S)
            for at in range(now - 3 * DAY_S, now, HOUR_S // 2):
                readings.add(connection, [Reading(at, "cup-water", 24.5, Quality.GOOD)])
            deeds.add(connection, Deed(now - 2 * DAY_S, "cup", "stir"), now - 2 * DAY_S)
            for state in ("unacknowledged", "normal"):
                alarms.add(connection, AlarmRow(now - 2 * DAY_S, "cup", "cold", state, 18.0, "", now))
            told = [box.n for box in outbox.due(connection, now, (), 999)]
            outbox.forget(connection, told, now)
        with store.transaction() as connection:
            outbox.end(connection)
        with store.transaction() as connection:
            outbox.begin(connection, "k8-plover", now)
            again = outbox.due(connection, now, (), 999)
    assert [(box.kind, box.key) for box in again if box.kind != "hour"] == [("deed", 1), ("alarm", 2)]
    assert [box.key for box in again if box.kind == "hour"] == [*range(now - DAY_S, now, HOUR_S)]
    assert min(box.n for box in again) > max(told)


@needs_postgres
def test_the_centre_is_set_up_and_put_back_as_the_page_says(tmp_path: Path) -> None:
    with cluster_running() as cluster:
        (roles,) = fenced(PAGE, "sql")
        for statement in roles.split(";"):
            if statement.strip():
                cluster.ask(statement)
        with psycopg.connect(cluster.dsn(NAME), autocommit=True, options=SEARCH) as owner:
            assert not [said for said in prepare(owner) if "superuser" in said]
        with psycopg.connect(cluster.dsn(NAME, "gatherer_one"), autocommit=True, options=SEARCH) as line:
            check_prepared(line)
            assert take(line, [("k8-plover", deed(5))]) == 0
            with pytest.raises(errors.InsufficientPrivilege):
                line.execute("SELECT * FROM deed")
        with psycopg.connect(cluster.dsn(NAME, "notebook"), autocommit=True, options=SEARCH) as line:
            assert line.execute("SELECT n FROM deed").fetchall() == [(5,)]
            with pytest.raises(errors.InsufficientPrivilege):
                line.execute("DELETE FROM deed")
        cluster.ask("DELETE FROM naupliad.deed", NAME)
        cluster.ask("DELETE FROM naupliad.station", NAME)
        cluster.ask(sql_in(shell("INSERT INTO naupliad.station")), NAME)
        cluster.ask(sql_in(shell("SET retired_at")), NAME)
        rows = "SELECT key, label, retired_at IS NOT NULL FROM naupliad.station"
        assert cluster.ask(rows, NAME) == [("k8-plover", "Room 12", True)]
        dump = tmp_path / "dump"
        run_as_postgres(cluster, shell("pg_dump"), dump)
        # What came after the dump goes; what was before it is there again, and is prepared.
        with psycopg.connect(cluster.dsn(NAME, "gatherer_one"), autocommit=True, options=SEARCH) as line:
            take(line, [("k9-stint", deed(6))])
        run_as_postgres(cluster, shell("pg_restore"), dump)
        assert cluster.ask(rows, NAME) == [("k8-plover", "Room 12", True)]
        with psycopg.connect(cluster.dsn(NAME), autocommit=True, options=SEARCH) as owner:
            assert prepare(owner) == []
        with psycopg.connect(cluster.dsn(NAME, "gatherer_one"), autocommit=True, options=SEARCH) as line:
            check_prepared(line)
            assert take(line, [("k8-plover", deed(7))]) == 0
