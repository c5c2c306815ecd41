"""What somebody wants of a planned start, as options: the lesson, the water, the tin, the vessel."""

import time
from collections.abc import Callable, Sequence
from contextlib import closing, suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from daemon.cli.number_option import WATER_C
from daemon.cli.options import config_option, is_given, state_option
from daemon.errors import InputError, NaupliadError
from daemon.input.file import did_you_mean, shown
from daemon.station import Station, Vessel
from reports.starts.records import PlannedStart

if TYPE_CHECKING:
    from daemon.planning.start_ground import Learned

Command = Callable[..., Any]


def wish_options(command: Command) -> Command:
    """What is wanted, and of what it is made."""
    options = (
        click.option(
            "--for", "lesson", metavar="SPAN", help="The lesson: FROM/TO, or a moment; must be given."
        ),
        click.option("--swimmers", is_flag=True, help="So that animals swim already when it begins."),
        click.option("--water-c", type=WATER_C, metavar="C", help="The water while people are there, °C."),
        click.option("--water-c-night", type=WATER_C, metavar="C", help="The water late at night, °C."),
        click.option("--lot", metavar="ID", help="The tin of cysts, as the care log calls it."),
        click.option("--vessel", metavar="ID", help="The vessel; its lamp and heater count."),
        click.option("--timezone", metavar="ZONE", help="Where no station file is; else the machine's."),
        config_option,
        state_option,
    )
    for option in reversed(options):
        command = option(command)
    return command


def plan_wished(
    context: click.Context,
    *,
    lesson: str | None,
    swimmers: bool,
    water_c: float | None,
    water_c_night: float | None,
    lot: str | None,
    vessel: str | None,
    timezone: str | None,
    config: Path,
    state: Path,
) -> PlannedStart:
    """The plan that the options ask for. Raises InputError."""
    from daemon.planning.stated_warmth import StatedWarmth
    from daemon.planning.wanted import lesson_of
    from daemon.start_record import Wish, planned_start

    if lesson is None:
        raise InputError(f"--for: found none; allowed: the lesson, FROM/TO.{_the_last(state)}")
    assumed = water_c is not None and _is_without_file(context, config)
    if timezone is not None and not assumed:
        raise InputError(f"--timezone: found {shown(timezone)}; allowed: only without a station file")
    station, now = _assumed(timezone) if assumed else _station(context, config, state)
    span = lesson_of(lesson, station.timezone, now)
    if water_c is None and water_c_night is not None:
        raise InputError(
            f"--water-c-night: found {water_c_night:g} without --water-c; allowed: with --water-c"
        )
    where = vessel_of(station, vessel)
    stated = None if water_c is None else StatedWarmth(water_c, water_c_night)
    known = None
    if stated is None or (lot and is_given(context, "state")):
        known = learned(state, where, lot, now, for_water=stated is None)
    elif lot and _has_records(state):
        with suppress(NaupliadError):  # nobody asked for these records: they may be another station's
            known = learned(state, where, lot, now, for_water=False)
    wish = Wish(
        span,
        where,
        lot,
        stated,
        known,
        school_assumed=assumed,
        swimming=swimmers,
        lot_known=not lot or _is_known(lot, station, state),
    )
    return planned_start(station, wish, now)


def learned(state: Path, vessel: Vessel, lot: str | None, now: int, *, for_water: bool) -> "Learned":
    """What the station knows: asked of the daemon, or worked out here from its records where none runs.

    Raises InputError where there is neither, or no water was ever read and it is wanted.
    """
    from daemon.inbox.asking import ask
    from daemon.inbox.line import INBOX
    from daemon.requests.start_words import learned_read

    words = {"ask": "ahead", "vessel": vessel.id, "lot": lot or ""}
    answer = ask(state / INBOX, words)
    if answer is None:
        answer = _worked_out(state, vessel, lot, now)
    elif "error" in answer:
        raise InputError(str(answer["error"]))
    return learned_read(answer, vessel.id, for_water=for_water)


def tin_alarm_lines(plan: PlannedStart, state: Path) -> list[str]:
    """What speaks against the plan's tin, where records tell of it."""
    if not plan.tin or not _has_records(state):
        return []
    from daemon.page.alarmed_tin import alarm_lines
    from daemon.stored_station import moment_of, open_station

    with suppress(NaupliadError):  # nobody asked for these records
        station, connection = open_station(state)
        with closing(connection):
            return alarm_lines(connection, station, plan.tin, moment_of(state, connection))
    return []


def _the_last(state: Path) -> str:
    """What would plan the last lesson anew, where records tell of one."""
    if not _has_records(state):
        return ""
    from daemon.last_times import last_times
    from daemon.stored_station import moment_of, open_station
    from reports.starts.last_time import command

    with suppress(NaupliadError):  # nobody asked for these records
        station, connection = open_station(state)
        with closing(connection):
            last = last_times(station, connection, moment_of(state, connection))
        offered = [line for one in last for line in command(one)]
        return f" As the last one: {offered[0]}" if offered else ""
    return ""


def _is_known(lot: str, station: Station, state: Path) -> bool:
    """Whether the station file names the tin, or records that may be read."""
    if any(one.id == lot for one in station.lots):
        return True
    with suppress(NaupliadError):
        if _has_records(state):
            from daemon.store.tin_names import named_lots
            from daemon.stored_station import open_station

            _, connection = open_station(state)
            with closing(connection):
                return lot in named_lots(connection, station)
    return False


def in_the_way(vessel: str, state: Path) -> Sequence[str]:
    """What a plan for a vessel meets there, by records that may be read: a batch, an earlier plan."""
    if not _has_records(state):
        return ()
    from daemon.kept_starts import in_the_way as met
    from daemon.stored_station import moment_of, open_station

    with suppress(NaupliadError):
        station, connection = open_station(state)
        with closing(connection):
            return met(station, connection, vessel, moment_of(state, connection))
    return ()


def _has_records(state: Path) -> bool:
    """Whether there are records that this user may look for."""
    from daemon.store.file import FILE_NAME

    try:
        return (state / FILE_NAME).exists()
    except OSError:  # a folder that lets nobody in
        return False


def _worked_out(state: Path, vessel: Vessel, lot: str | None, now: int) -> dict[str, Any]:
    """From beliefs, which nothing else here needs."""
    if not _has_records(state):
        raise InputError(
            f"--water-c: found none, and no records in {state}; "
            "allowed: the water while people are there, in °C"
        )
    from daemon.requests.start_words import learned_written
    from daemon.stored_station import open_station
    from daemon.watching.beliefs import Beliefs
    from daemon.watching.snapshot.snapshots import Snapshots

    station, connection = open_station(state)
    with closing(connection):
        if station.vessel(vessel.id) is None:
            known = ", ".join(one.id for one in station.vessels)
            raise InputError(f"--vessel: found {shown(vessel.id)}; allowed: {known}")
        kept = Snapshots(state, station).found(connection, now)
        return learned_written(Beliefs(station, connection, now, kept).of(vessel.id), lot, now)


def _is_without_file(context: click.Context, config: Path) -> bool:
    """Whether nobody named a station, and none stands at its usual place."""
    if is_given(context, "state") or is_given(context, "config"):
        return False
    try:
        return not config.exists()
    except OSError:  # a folder that lets nobody in
        return False


def _assumed(zone: str | None) -> tuple[Station, int]:
    from daemon.cli.assumed_station import assumed_station

    return assumed_station(zone), int(time.time())


def _station(context: click.Context, config: Path, state: Path) -> tuple[Station, int]:
    """The station, and its now: that of the station file, or of the folder where only that was given."""
    from daemon.config import read_station

    if is_given(context, "state"):
        from daemon.stored_station import moment_of, open_station

        station, connection = open_station(state)
        with closing(connection):
            now = moment_of(state, connection)
        return (read_station(config) if is_given(context, "config") else station), now
    if _is_without_file(context, config):
        raise InputError(
            f"--config: found no station file at {config}; allowed: --config FILE, or --water-c C, which "
            "plans with usual school hours"
        )
    return read_station(config), int(time.time())


def vessel_of(station: Station, name: str | None) -> Vessel:
    """The vessel of that name, or the first. Raises InputError."""
    if name is None:
        return station.vessels[0]
    if (found := station.vessel(name)) is not None:
        return found
    known = [one.id for one in station.vessels]
    raise InputError(f"--vessel: found {shown(name)}{did_you_mean(name, known)}; allowed: {', '.join(known)}")
