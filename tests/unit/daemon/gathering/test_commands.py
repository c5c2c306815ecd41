"""naupliad gather and naupliad rooms, as a technician types them."""

import importlib.util
import json
from pathlib import Path
from typing import Any

import psycopg
import pytest

from daemon.record.box import Box, packed
from tests.kit.command_line import naupliad
from tests.kit.gatherers import gather_file
from tests.kit.postgres import LOGIN, Cluster, needs_postgres, new_database
from tests.kit.told_boxes import alarm, deed, letter, take

GOOD = '[broker]\nhost = "mqtt.school.example"\n[database]\ndsn = "dbname=centre"\n[gatherer]\nid = "one"\n'


def written(folder: Path, text: str) -> Path:
    path = folder / "gather.toml"
    path.write_text(text, "utf-8")
    return path


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "broker.host: found nothing; allowed: this key must be given"),
        (GOOD, "gatherer.group: found nothing; allowed: this key must be given"),
        (GOOD + 'group = "short"', "gatherer.group: found another name; allowed: 8 to 80"),
        (GOOD.replace("one", "One") + 'group = "seven-salt-lakes"', "gatherer.id: found 'One'"),
        (
            GOOD.replace("centre", "centre password=tide-pool") + 'group = "seven-salt-lakes"',
            "found a password",
        ),
        (
            GOOD.replace("dbname=", "postgres//") + 'group = "seven-salt-lakes"',
            "database.dsn: found another text",
        ),
        ('[brocker]\nhost = "a"\n' + GOOD, "brocker: found an unknown key (did you mean broker?)"),
        (GOOD.replace("[database]", 'security = "plain-on-loopback"\n[database]'), "broker.host: found"),
    ],
)
def test_a_file_that_is_wrong_is_refused_in_lines_that_say_where_and_show_no_secret(
    tmp_path: Path, text: str, says: str
) -> None:
    for command in ("gather", "rooms"):
        said = naupliad(command, "--config", written(tmp_path, text))
        assert said.code == 2
        assert any(says in line for line in said.faults), said.err
        assert all(line.startswith(str(tmp_path)) for line in said.faults)
        assert "tide-pool" not in said.err
        assert "short" not in said.err


def test_without_the_extra_a_line_says_how_to_install_it(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    find = importlib.util.find_spec
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None if name == "psycopg" else find(name))
    for command in ("gather", "rooms"):
        said = naupliad(command, "--config", written(tmp_path, GOOD))
        assert (said.code, len(said.faults)) == (2, 1)
        assert "pip install 'naupliad[gather]'" in said.err


def test_a_database_that_is_away_is_said_in_one_line(tmp_path: Path) -> None:
    config = gather_file(tmp_path, 1883, f"host={tmp_path} dbname=none")
    for words in (("rooms",), ("gather", "--prepare")):
        said = naupliad(*words, "--config", config)
        assert (said.code, len(said.faults)) == (1, 1)
        assert said.err.startswith("the database: cannot be reached: ")


@needs_postgres
def test_a_database_is_prepared_once_by_its_owner_who_need_be_no_superuser(
    cluster: Cluster, tmp_path: Path
) -> None:
    new_database(cluster)  # with it the roles are there
    cluster.ask("CREATE ROLE owner LOGIN")
    cluster.ask("CREATE DATABASE owned OWNER owner")
    config = gather_file(tmp_path, 1883, cluster.dsn("owned", "owner"))
    unprepared = naupliad("rooms", "--config", config)
    assert unprepared.code == 2
    assert "allowed: prepared by its owner (naupliad gather --prepare)" in unprepared.err
    said = naupliad("gather", "--prepare", "--config", config)
    assert (said.code, said.err) == (0, "")
    assert "the database: applied 0001_tables" in said.out
    again = naupliad("gather", "--prepare", "--config", config)
    assert again.out == "the database: nothing to do: it is prepared\n"
    cluster.ask("INSERT INTO naupliad.migration (name) VALUES ('9999_ahead')", "owned")
    ahead = naupliad("rooms", "--config", config)
    assert (ahead.code, "allowed: a program as new as the database" in ahead.err) == (2, True)


@needs_postgres
def test_a_migration_that_fails_leaves_nothing_behind(
    cluster: Cluster, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from daemon.gathering import database

    folder = tmp_path / "migrations"
    folder.mkdir()
    (folder / "0001_first.sql").write_text("CREATE TABLE kept (a integer)")
    (folder / "0002_second.sql").write_text("CREATE TABLE half (a integer); SELECT 1 / 0")
    monkeypatch.setattr(database, "_MIGRATIONS", folder)
    cluster.ask("CREATE DATABASE halved")
    said = naupliad("gather", "--prepare", "--config", gather_file(tmp_path, 1883, cluster.dsn("halved")))
    assert (said.code, said.faults) == (1, ["the database: cannot be prepared: division by zero"])
    tables = cluster.ask("SELECT tablename FROM pg_tables WHERE schemaname = 'naupliad' ORDER BY 1", "halved")
    assert tables == [("kept",), ("migration",)]


@needs_postgres
def test_what_was_refused_before_an_update_is_kept_by_preparing_after_it(
    cluster: Cluster, tmp_path: Path
) -> None:
    name = new_database(cluster)
    config = gather_file(tmp_path, 1883, cluster.dsn(name))
    with psycopg.connect(cluster.dsn(name), autocommit=True, options="-csearch_path=naupliad") as line:
        for payload in (packed(Box(5, "deed", deed(5, 2))), b"no box"):
            line.execute("SELECT refuse('k1', 'found v 2', %s, NULL)", (payload,))
        take(line, [("k1", {**deed(1), "unit": "x" * 201})])
        line.execute("UPDATE station SET last_heard = now() - interval '1 year'")
        line.execute("ALTER TABLE deed DROP CONSTRAINT deed_unit_check")
        said = naupliad("gather", "--prepare", "--config", config)
        assert said.out == "the database: kept 2 boxes that had been refused\n"
        assert line.execute("SELECT n FROM deed ORDER BY n").fetchall() == [(1,), (5,)]
        assert line.execute("SELECT payload FROM refused").fetchall() == [(b"no box",)]
        assert line.execute("SELECT count(*) FROM silent").fetchall() == [(1,)], "nobody was heard by it"


@pytest.fixture
def centre(cluster: Cluster) -> str:
    """A database of four rooms: the worst was heard last, one is silent, one never was heard."""
    name = new_database(cluster)
    with psycopg.connect(cluster.dsn(name), autocommit=True, options="-csearch_path=naupliad") as line:
        line.execute("INSERT INTO station (key, label) VALUES ('k1', 'Room 12'), ('k4', NULL)")
        take(line, [("k1", alarm(1, 1, "acknowledged", condition="lamp")), ("k2", deed(1))])
        take(line, [("k3", letter(1, attempts=3)), ("k1", alarm(2, 2, condition="storage", vessel=""))])
        take(line, [("k3", alarm(3, 2)), ("k3", {**deed(4), "v": 2})])
        line.execute("UPDATE station SET last_heard = now() - interval '50 hours' WHERE key = 'k2'")
        line.execute("UPDATE state SET since = now() - interval '90 minutes'")
        line.execute("UPDATE letter SET at = now() - interval '26 hours'")
    return name


@needs_postgres
def test_rooms_are_told_worst_first_to_whoever_may_gather_or_read(
    cluster: Cluster, centre: str, tmp_path: Path
) -> None:
    config = gather_file(tmp_path, 1883, cluster.dsn(centre, LOGIN))
    said = naupliad("rooms", "--config", config)
    assert (said.code, said.err) == (0, "")
    assert said.out == (
        "4 rooms are known. 2 rooms need help. 2 rooms are silent.\n\n"
        "k3\n  a: the water is too warm, for 1 hour 30 minutes.\n"
        "  Its letters do not leave, for 1 day 2 hours.\n\n"
        "Room 12 (k1)\n  a: the lamp was off in its hours (seen), for 1 hour 30 minutes.\n"
        "  Little room is left on its memory card, for 1 hour 30 minutes.\n\n"
        "k4: never heard\nk2: heard last 2 days 2 hours ago\n\n"
        "1 box could not be stored in the last day; the table refused says why.\n"
    )
    german = naupliad("rooms", "--config", config, "--language", "de")
    assert german.out.startswith("4 Räume sind bekannt. 2 Räume brauchen Hilfe. 2 Räume schweigen.\n")
    patient = naupliad("rooms", "--config", config, "--silent-after", "24h")
    assert "2 rooms are silent" in patient.out
    wrong = naupliad("rooms", "--config", config, "--silent-after", "3 days")
    assert (wrong.code, "--silent-after: found '3 days'; allowed:" in wrong.err) == (2, True)


@needs_postgres
def test_programs_get_the_same_as_json(cluster: Cluster, centre: str, tmp_path: Path) -> None:
    said = naupliad("rooms", "--json", "--config", gather_file(tmp_path, 1883, cluster.dsn(centre)))
    found: dict[str, Any] = json.loads(said.out)
    assert [(need["key"], need["condition"]) for need in found["needs_help"]] == [
        ("k3", "hot"),
        ("k3", "post"),
        ("k1", "lamp"),
        ("k1", "storage"),
    ]
    assert [room["key"] for room in found["silent"]] == ["k4", "k2"]
    assert (found["rooms"], found["refused"]) == (4, 1)
