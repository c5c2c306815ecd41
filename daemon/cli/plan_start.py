"""naupliad plan start, naupliad plan calendar: when to set cysts for a lesson."""

import json
import time
from collections.abc import Callable
from contextlib import closing
from datetime import datetime
from pathlib import Path
from typing import Any

import click

from daemon.cli.options import config_option, is_given, json_option, state_option
from daemon.errors import InputError
from daemon.input.csv import read_number
from daemon.input.file import did_you_mean, shown
from daemon.station import Station, Vessel
from reports.starts.records import Moments, Option, PlannedStart

WATER_C = (0.0, 45.0)
Command = Callable[..., Any]


def _wish_options(command: Command) -> Command:
    """What is wanted, and of what it is made."""
    options = (
        click.option(
            "--for", "lesson", required=True, metavar="SPAN", help="The lesson: FROM/TO, or a moment."
        ),
        click.option("--water-c", metavar="C", help="The water while people are there, °C."),
        click.option("--water-c-night", metavar="C", help="The water late at night, °C."),
        click.option("--lot", metavar="ID", help="The tin of cysts, as the care log calls it."),
        click.option("--vessel", metavar="ID", help="The vessel; its lamp and heater count."),
        config_option,
        state_option,
    )
    for option in reversed(options):
        command = option(command)
    return command


@click.command()
@_wish_options
@json_option
@click.pass_context
def start(context: click.Context, /, as_json: bool, **wished: Any) -> None:
    """Say when to set cysts so that half of them have hatched in a lesson, and how sure that is.

    The water is as stated with --water-c, or else as the station has learned it.
    """
    plan = _plan(context, **wished)
    if as_json:
        click.echo(json.dumps(as_told(plan), indent=1, ensure_ascii=False))
        return
    from reports.starts.text import start_text

    click.echo(start_text(plan))


def _plan(
    context: click.Context,
    *,
    lesson: str,
    water_c: str | None,
    water_c_night: str | None,
    lot: str | None,
    vessel: str | None,
    config: Path,
    state: Path,
) -> PlannedStart:
    from daemon.planning.stated_warmth import StatedWarmth
    from daemon.planning.wanted import lesson_of
    from daemon.start_record import Wish, planned_start

    station, now = _station(context, config, state)
    span = lesson_of(lesson, station.timezone, now)
    day_c, night_c = _water("--water-c", water_c), _water("--water-c-night", water_c_night)
    if day_c is None and water_c_night is not None:
        raise InputError(
            f"--water-c-night: found {shown(water_c_night)} without --water-c; allowed: with --water-c"
        )
    if day_c is None:
        raise InputError("--water-c: found none; allowed: the water while people are there, in °C")
    stated = StatedWarmth(day_c, night_c)
    return planned_start(station, Wish(span, vessel_of(station, vessel), lot, stated), now)


def _station(context: click.Context, config: Path, state: Path) -> tuple[Station, int]:
    """The station, and its now: that of the station file, or of the folder where only that was given."""
    from daemon.config import read_station

    if is_given(context, "state"):
        from daemon.stored_station import moment_of, open_station

        station, connection = open_station(state)
        with closing(connection):
            now = moment_of(state, connection)
        return (read_station(config) if is_given(context, "config") else station), now
    return read_station(config), int(time.time())


def vessel_of(station: Station, name: str | None) -> Vessel:
    """The vessel of that name, or the first. Raises InputError."""
    if name is None:
        return station.vessels[0]
    if (found := station.vessel(name)) is not None:
        return found
    known = [one.id for one in station.vessels]
    raise InputError(f"--vessel: found {shown(name)}{did_you_mean(name, known)}; allowed: {', '.join(known)}")


def _water(option: str, text: str | None) -> float | None:
    if text is None:
        return None
    low, high = WATER_C
    try:
        if low <= (water_c := read_number(text)) <= high:
            return water_c
    except ValueError:
        pass
    raise InputError(f"{option}: found {shown(text)}; allowed: °C from {low:g} to {high:g}, such as 21.5")


def as_told(plan: PlannedStart) -> dict[str, Any]:
    """The plan as JSON says it."""
    from reports.starts.text import day_texts, warned_texts

    hedge = plan.hedge
    return {
        "options": [_option(one) for one in plan.options],
        "lesson": {"from": _iso(plan.lesson.began), "to": _iso(plan.lesson.ended)},
        "hedge": hedge
        and {
            "set_at": [_iso(hedge.first), _iso(hedge.second)],
            "share_in_lesson": _share(hedge.share_in_lesson),
        },
        "share_if_known": None if plan.if_known is None else _share(plan.if_known),
        "share_if_warm": None if plan.if_warm is None else _share(plan.if_warm),
        "warnings": [
            {"kind": one.kind, "text": text}
            for one, text in zip(plan.warnings, warned_texts(plan), strict=True)
        ],
        "picture": [
            {
                "at": _iso(one.at),
                "p10": _share(one.hatched.p10),
                "p50": _share(one.hatched.p50),
                "p90": _share(one.hatched.p90),
            }
            for one in plan.picture
        ],
        "days": [
            {"kind": one.kind, "from": _iso(one.span.began), "to": _iso(one.span.ended), "text": text}
            for one, text in zip(plan.days, day_texts(plan), strict=True)
        ],
    }


def _option(one: Option) -> dict[str, Any]:
    return {
        "set_at": _iso(one.set_at),
        "t10": _moments(one.t10),
        "t50": _moments(one.t50),
        "t90": _moments(one.t90),
        "share_in_lesson": _share(one.share_in_lesson),
        "share_under_way": _share(one.under_way),
        "as_good": {"from": _iso(one.good.began), "to": _iso(one.good.ended)},
    }


def _moments(moments: Moments) -> dict[str, str]:
    return {"p10": _iso(moments.p10), "p50": _iso(moments.p50), "p90": _iso(moments.p90)}


def _iso(at: datetime) -> str:
    return at.isoformat()


def _share(share: float) -> float:
    return round(share, 4)
