"""naupliad lot: tins of cysts, whether one will do, and what each has given."""

import json
import time
from collections.abc import Sequence
from contextlib import closing
from dataclasses import asdict
from pathlib import Path
from typing import Any

import click

from daemon.care.tin_name import tin_like
from daemon.cli.lot_json import test_as_json, tin_as_json
from daemon.cli.number_option import HOURS, KEPT_AS, WATER_C, Count
from daemon.cli.options import config_option, is_given, json_option, state_option
from daemon.errors import InputError
from daemon.input.file import shown
from daemon.page.tins import given_lot, said_test
from daemon.planning.tin_test import TinTest, checked, judged
from daemon.planning.tins import Tin
from daemon.science.strains import UNKNOWN, Strain
from daemon.station import Station
from reports.page.tins import viability as words


@click.group()
def lot() -> None:
    """Tins of cysts: whether one will do, and what each has given."""


@lot.command()
@click.option("--put", type=Count(), required=True, help="How many cysts were put in.")
@click.option("--hatched", type=Count(), required=True, help="How many of them hatched.")
@click.option("--umbrella", type=Count(), help="How many still hang below their shell.")
@click.option(
    "--full-left", type=Count(), help="How many full cysts are left: bleach the shells away to see."
)
@click.option("--hours", type=HOURS, help="How many hours ago they were wetted.")
@click.option("--water-c", type=WATER_C, help="How warm the water was, in °C.")
@click.option(
    "--lot", "lot_id", metavar="ID", help="Which tin, by its name in the station file or the care log."
)
@click.option("--keep", is_flag=True, help="Keep the test with the tin, in the station's records.")
@click.option("--new-tin", is_flag=True, help="With --keep: a new tin, though one is called much like it.")
@click.option(
    "--at", "moment", help="When it was counted, as for 'care add'; with --keep. Now when left out."
)
@config_option
@state_option
@json_option
@click.pass_context
def test(
    context: click.Context,
    put: int,
    hatched: int,
    umbrella: int | None,
    full_left: int | None,
    hours: float | None,
    water_c: float | None,
    lot_id: str | None,
    keep: bool,
    new_tin: bool,
    moment: str | None,
    config: Path,
    state: Path,
    as_json: bool,
) -> None:
    """Say whether a class can be built on a tin, by a test of some of its cysts.

    Without --hours and --water-c the test is taken to have been long enough. With --keep it counts in what is
    expected of the tin; a tin that nobody named before is new then.

    \b
    naupliad lot test --put 50 --hatched 38
    naupliad lot test --put 50 --hatched 20 --hours 20 --water-c 20
    """
    given = checked(TinTest(put, hatched, hours, water_c, umbrella, full_left))
    if keep:
        _check_keeping(given, lot_id)
    elif new_tin:
        raise InputError("--new-tin: found without --keep; allowed: with it, for a test that is kept")
    elif moment is not None:
        raise InputError("--at: found without --keep; allowed: with it, for a test that is kept")
    station, lots, now = _station(context, config, state, needed=lot_id is not None, stored=keep)
    if keep and not new_tin:
        _check_name(str(lot_id), lots)
    if keep and lot_id is not None and lot_id not in lots:
        lots = [*lots, lot_id]
    strain, opened_days = _what_is_given(station, lots, lot_id, now)
    found = judged(given, strain, opened_days)
    kept = _kept(state, station, str(lot_id), given, moment, now) if keep and station is not None else None
    if as_json:
        kept_as = {} if kept is None else {"kept_as": kept["id"]}
        click.echo(json.dumps(test_as_json(given, found, strain) | kept_as, ensure_ascii=False))
        return
    language, unit = (station.language, station.temperature_unit) if station else ("en", "C")
    said = said_test(given, found, strain, language, unit)
    for line in (words.headline(said), *words.facts(said), *words.notes(said)):
        click.echo(line)
    if kept is not None:
        from daemon.cli.lot_kept import lines_of_kept

        for line in lines_of_kept(state, str(lot_id), kept):
            click.echo(line)


@lot.command()
@click.argument("test_id", type=KEPT_AS, metavar="ID")
@state_option
@json_option
def withdraw(test_id: int, state: Path, as_json: bool) -> None:
    """Take a test back that was kept under ID; it stays in the records, marked as withdrawn."""
    from daemon.cli.requests import answer
    from daemon.stored_station import station_and_now

    station, now = station_and_now(state)
    answered = answer(state, station, {"ask": "tin withdraw", "id": test_id}, now)
    if as_json:
        click.echo(json.dumps({"id": answered["id"], "lot": answered["lot"]}, ensure_ascii=False))
    else:
        click.echo(f"test {test_id} of {answered['lot']} is withdrawn")


def _check_keeping(test: TinTest, lot_id: str | None) -> None:
    """Raises InputError where something is missing that a kept test must have."""
    missing = [
        f"{option}: none given; allowed: with --keep it must be given"
        for option, given in (("--lot", lot_id), ("--hours", test.hours), ("--water-c", test.water_c))
        if given is None
    ]
    if missing:
        raise InputError(*missing)


def _check_name(lot_id: str, lots: Sequence[str]) -> None:
    """Raises InputError where another tin is called much like it: that is asked before anything is kept."""
    if (like := tin_like(lot_id, lots)) is not None:
        raise InputError(
            f"--lot: found {shown(lot_id)}, and no tin was called so before (did you mean {like}?); allowed: "
            "a tin's name, or --new-tin beside a new one"
        )


def _kept(
    state: Path, station: Station, lot_id: str, test: TinTest, moment: str | None, now: int
) -> dict[str, Any]:
    """What the daemon answers: its number in the records, and one that is alike."""
    from daemon.care.past_moment import past_moment
    from daemon.cli.requests import answer

    at = {} if moment is None else {"at": past_moment("--at", moment, now, station.timezone)}
    words = {"ask": "tin keep", "lot": lot_id, "typed": True, **at, **asdict(test)}
    return answer(state, station, words, now)


@lot.command("list")
@config_option
@state_option
@json_option
@click.pass_context
def list_lots(context: click.Context, config: Path, state: Path, as_json: bool) -> None:
    """List the tins: opened when, used how much, what each batch gave, and which fall off.

    What was noted stands in the state folder. A --config that is given says which tins there are; where no
    station has run, it alone does.
    """
    station, tins, now = _tins(context, config, state)
    if as_json:
        click.echo(json.dumps([tin_as_json(station, one) for one in tins], indent=1, ensure_ascii=False))
        return
    from daemon.letters.conversions import setting
    from daemon.page.tins import tin_record
    from reports.page.tins import listed

    place = setting(station, None, now)
    click.echo("\n".join(listed.plain(place, [tin_record(station, one) for one in tins])))


def _tins(context: click.Context, config: Path, state: Path) -> tuple[Station, list[Tin], int]:
    """The station, its tins as they stand, and its now (Unix s)."""
    from daemon.config import read_station
    from daemon.planning.tins import opened_days, tin
    from daemon.store.tins import every
    from daemon.stored_station import moment_of, open_station

    given = read_station(config) if is_given(context, "config") else None
    if given is not None and not is_given(context, "state") and not _has_run(state):
        now = int(time.time())
        return given, [tin(one, (), (), now, opened_days(given, one.id, now)) for one in given.lots], now
    station, connection = open_station(state)
    with closing(connection):
        now = moment_of(state, connection)
        return given or station, every(connection, given or station, now), now


def _has_run(state: Path) -> bool:
    """Whether there are records of a station; who may not look is told so by who opens them."""
    from daemon.store.file import FILE_NAME

    try:
        return (state / FILE_NAME).exists()
    except OSError:
        return True


def _station(
    context: click.Context, config: Path, state: Path, *, needed: bool, stored: bool
) -> tuple[Station | None, list[str], int]:
    """The station where one is named or needed, the tins it knows, and its now (Unix s); `stored`: by its
    records."""
    if stored or is_given(context, "state"):
        from daemon.store.tin_names import named_lots
        from daemon.stored_station import moment_of, open_station

        station, connection = open_station(state)
        with closing(connection):
            return station, named_lots(connection, station), moment_of(state, connection)
    now = int(time.time())
    if not (is_given(context, "config") or needed):
        return None, [], now
    from daemon.config import read_station

    station = read_station(config)
    return station, [one.id for one in station.lots], now


def _what_is_given(
    station: Station | None, lots: Sequence[str], lot_id: str | None, now: int
) -> tuple[Strain, float]:
    """A tin's strain, and for how many days it has been open. Raises InputError for one nobody named."""
    if station is None or lot_id is None:
        return UNKNOWN, 0.0
    if lot_id not in lots:
        allowed = ", ".join(lots) or "none, as neither the station file nor the care log names a tin"
        like = tin_like(lot_id, lots)
        near = "" if like is None else f" (did you mean {like}?)"
        raise InputError(f"--lot: found {shown(lot_id)}{near}; allowed: {allowed}")
    return given_lot(station, lot_id, now)
