"""naupliad lot: tins of cysts, whether one will do, and what each has given."""

import json
import time
from collections.abc import Sequence
from contextlib import closing
from pathlib import Path
from typing import Any

import click

from daemon.cli.options import config_option, is_given, json_option, state_option
from daemon.errors import InputError
from daemon.estimates.quantile import Estimate
from daemon.hours import local_time
from daemon.input.file import shown
from daemon.page.tins import given_lot, said_test
from daemon.planning.tin_history import BatchGave
from daemon.planning.tin_test import TinTest, TinVerdict, checked, judged, times_that_tell
from daemon.planning.tins import Tin
from daemon.science.strains import UNKNOWN, Strain
from daemon.station import Station
from reports.page.tins import viability as words


@click.group()
def lot() -> None:
    """Tins of cysts: whether one will do, and what each has given."""


@lot.command()
@click.option("--put", type=int, required=True, help="How many cysts were put in.")
@click.option("--hatched", type=int, required=True, help="How many of them hatched.")
@click.option("--hours", type=float, help="How many hours ago they were wetted.")
@click.option("--water-c", type=float, help="How warm the water was, in °C.")
@click.option(
    "--lot", "lot_id", metavar="ID", help="Which tin, by its name in the station file or the care log."
)
@config_option
@state_option
@json_option
@click.pass_context
def test(
    context: click.Context,
    put: int,
    hatched: int,
    hours: float | None,
    water_c: float | None,
    lot_id: str | None,
    config: Path,
    state: Path,
    as_json: bool,
) -> None:
    """Say whether a class can be built on a tin, by a test of some of its cysts.

    Without --hours and --water-c the test is taken to have been long enough.

    \b
    naupliad lot test --put 50 --hatched 38
    naupliad lot test --put 50 --hatched 20 --hours 20 --water-c 20
    """
    given = checked(TinTest(put, hatched, hours, water_c))
    station, lots, now = _station(context, config, state, needed=lot_id is not None)
    strain, opened_days = _what_is_given(station, lots, lot_id, now)
    found = judged(given, strain, opened_days)
    if as_json:
        click.echo(json.dumps(_test_as_json(given, found, strain), ensure_ascii=False))
        return
    language, unit = (station.language, station.temperature_unit) if station else ("en", "C")
    said = said_test(given, found, strain, language, unit)
    for line in (words.headline(said), *words.facts(said), *words.notes(said)):
        click.echo(line)


@lot.command("list")
@config_option
@state_option
@json_option
@click.pass_context
def list_lots(context: click.Context, config: Path, state: Path, as_json: bool) -> None:
    """List the tins: opened when, used how much, what each batch gave, and which fall off.

    What was noted stands in the state folder. A --config that is given says which tins there are.
    """
    from daemon.letters.conversions import setting
    from daemon.page.tins import tin_record
    from daemon.store.tins import every
    from daemon.stored_station import moment_of, open_station
    from reports.page.tins import listed

    station, connection = open_station(state)
    with closing(connection):
        now = moment_of(state, connection)
        if is_given(context, "config"):
            from daemon.config import read_station

            station = read_station(config)
        tins = every(connection, station, now)
        place = setting(station, connection, now)
    if as_json:
        click.echo(json.dumps([_tin_as_json(station, one) for one in tins], indent=1, ensure_ascii=False))
        return
    click.echo("\n".join(listed.plain(place, [tin_record(station, one) for one in tins])))


def _station(
    context: click.Context, config: Path, state: Path, *, needed: bool
) -> tuple[Station | None, list[str], int]:
    """The station where one is named or needed, the tins it knows, and its now (Unix s)."""
    if is_given(context, "state"):
        from daemon.store.tins import named_lots
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
        raise InputError(f"--lot: found {shown(lot_id)}; allowed: {allowed}")
    return given_lot(station, lot_id, now)


def _test_as_json(test: TinTest, found: TinVerdict, strain: Strain) -> dict[str, Any]:
    answer: dict[str, Any] = {
        "put": test.put,
        "hatched": test.hatched,
        "share": found.share,
        "low": found.low,
        "high": found.high,
        "verdict": found.verdict,
        "count_more": found.count_more,
        "cysts_for_20": None
        if found.cysts_a_cup is None
        else dict(zip(("low", "likely", "high"), found.cysts_a_cup, strict=True)),
    }
    if found.waiting is None:
        answer["enough_h"] = {f"{water_c:g}": round(h, 1) for water_c, h in times_that_tell(strain).items()}
        return answer
    waiting = found.waiting
    return answer | {
        "hours": test.hours,
        "water_c": test.water_c,
        "out": _ends(waiting.out),
        "share_in_the_end": _ends(waiting.in_the_end),
        "enough_h": None if waiting.enough_h is None else round(waiting.enough_h, 1),
        "long_enough": waiting.long_enough,
    }


def _ends(estimate: Estimate) -> dict[str, float]:
    return {"p10": estimate.p10, "p50": estimate.p50, "p90": estimate.p90}


def _tin_as_json(station: Station, one: Tin) -> dict[str, Any]:
    plan, trend = one.plan, one.trend
    return {
        "lot": plan.id,
        "strain": plan.strain,
        "opened": None if plan.opened is None else plan.opened.isoformat(),
        "stored": plan.stored or None,
        "cysts_per_g": plan.cysts_per_g,
        "mass_g": plan.mass_g,
        "used_g": one.used_g,
        "batches_unweighed": one.unweighed,
        "left_g": one.left_g,
        "hatchable_share": _ends(one.share),
        "trend": None
        if trend is None
        else {"first": trend.first, "last": trend.last, "counts": trend.counts, "falls": trend.falls},
        "batches": [_batch_as_json(station, batch) for batch in one.batches],
    }


def _batch_as_json(station: Station, one: BatchGave) -> dict[str, Any]:
    counted = one.percentage
    return {
        "batch": one.id,
        "vessel": one.vessel,
        "set_at": local_time(one.set_at, station.timezone).isoformat(),
        "ended_at": None if one.ended_at is None else local_time(one.ended_at, station.timezone).isoformat(),
        "cysts_g": one.cysts_g,
        "hatching_fraction": None
        if counted is None
        else {"hatched": counted.hatched, "of": counted.of, "early": counted.early, **_ends(counted.range)},
        "efficiency_per_g": one.efficiency_per_g and _ends(one.efficiency_per_g),
        "t10_h": one.t10_h and _ends(one.t10_h),
        "t50_h": one.t50_h and _ends(one.t50_h),
        "t90_h": one.t90_h and _ends(one.t90_h),
        "synchrony_h": one.synchrony_h,
        "hatchable_share": one.believed_share and _ends(one.believed_share),
    }
