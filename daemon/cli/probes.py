"""naupliad probes: what is attached, what it reads and whether to trust it; guides the calibrations."""

import json
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import click

from daemon.cli.options import config_option, is_given, json_option, machine_of, state_option
from daemon.commissioning.machine import Machine
from daemon.commissioning.probes.look import Look, look
from daemon.commissioning.probes.probe_history import history_in
from daemon.commissioning.probes.unnamed_probe import UnnamedProbe, unnamed_probes
from daemon.config import read_station
from daemon.inbox.line import INBOX
from daemon.station import ProbePlan, Station
from daemon.station_probes import openers
from sensors.attached_devices import Stranger, attached_devices, strangers
from sensors.probe_opening import open_probe
from sensors.reading import Measure, Probe

_UNITS = {
    Measure.WATER_C: "°C",
    Measure.ROOM_C: "°C",
    Measure.LIGHT_LUX: "lux",
    Measure.ROOM_RH_PCT: "%",
}
_NOTHING = (
    "no probe is attached that the kernel shows. For a DS18B20 add the line dtoverlay=w1-gpio to"
    " /boot/firmware/config.txt and restart the Pi; naupliad checkup says what else is missing. Without any"
    " hardware: naupliad rehearse."
)


@click.command()
@config_option
@state_option
@click.option("--ice", metavar="PROBE", help="Check a thermometer in ice water and propose its offset_c.")
@click.option("--light", metavar="PROBE", help="Read a light probe with the lamp off and on; propose keys.")
@json_option
@click.pass_context
def probes(
    context: click.Context, config: Path, state: Path, ice: str | None, light: str | None, as_json: bool
) -> None:
    """Read every probe once, say whether to trust it, and show what the station file does not name yet.

    Without a station file: everything that the kernel shows, with the lines to paste.
    """
    machine = machine_of(context)
    if ice is not None and light is not None:
        raise click.UsageError("found both --ice and --light; allowed: one of them", context)
    station = _station(config, machine, must_be_there=is_given(context, "config"))
    waiting = unnamed_probes(attached_devices(machine.roots), station.probes if station else ())
    if ice is not None:
        from daemon.cli.calibration import guide_ice  # who only looks has no use for the guides

        guide_ice(ice, station, waiting, machine, as_json=as_json)
    elif light is not None:
        from daemon.cli.calibration import guide_light

        guide_light(light, station, waiting, machine, as_json=as_json)
    else:
        looks = _looks(machine, state, station, [device.plan for device in waiting])
        _show(_Found(config, station, looks, waiting, strangers(machine.roots)), as_json=as_json)


def _station(path: Path, machine: Machine, *, must_be_there: bool) -> Station | None:
    """The station; None where nobody gave a station file and there is none in its usual place."""
    if must_be_there:
        return read_station(path)
    usual = machine.path(path)
    return read_station(usual) if usual.exists() else None


def _looks(machine: Machine, state: Path, station: Station | None, more: Sequence[ProbePlan]) -> list[Look]:
    now = int(machine.now())
    history = history_in(state, state / INBOX, now, station)
    opens: dict[str, Callable[[], Probe]] = {
        plan.id: partial(open_probe, plan.id, plan.measures, plan.driver, plan.keys, roots=machine.roots)
        for plan in more
    }
    if station is not None:
        opens.update(openers(station, now, machine.roots))
    return look([*(station.probes if station else ()), *more], opens, machine, history)


@dataclass(frozen=True, slots=True)
class _Found:
    """All that is there: `looks` at the station's probes, then at those that wait for a name."""

    config: Path
    station: Station | None
    looks: Sequence[Look]
    waiting: Sequence[UnnamedProbe]
    strange: Sequence[Stranger]

    @property
    def named(self) -> Sequence[Look]:
        return self.looks[: len(self.looks) - len(self.waiting)]

    @property
    def others(self) -> Sequence[Look]:
        return self.looks[len(self.looks) - len(self.waiting) :]

    @property
    def troubles(self) -> list[str]:
        lines = [
            f'probe "{seen.plan.id}": {seen.distrust.why}. {seen.distrust.remedy}'
            for seen in self.looks
            if seen.distrust is not None
        ]
        return lines if self.looks else [_NOTHING]


def _show(found: _Found, *, as_json: bool) -> None:
    """Say it on standard output, and each trouble in a line on standard error."""
    lines = [_as_json(found)] if as_json else [*_named_lines(found), *_other_lines(found)]
    for line in lines:
        click.echo(line)
    for line in found.troubles:
        click.echo(line, err=True)
    if found.troubles:
        raise click.exceptions.Exit(1)


def _named_lines(found: _Found) -> Iterator[str]:
    if found.station is None:
        yield f"There is no station file {found.config} yet: this is what the kernel shows."
    for seen in found.named:
        yield from _look_lines(seen)


def _other_lines(found: _Found) -> Iterator[str]:
    if found.waiting:
        yield "\nAttached, and not in the station file:\n"
        for seen in found.others:
            yield from _look_lines(seen)
        yield "\nLines to paste (change id and measures as it suits; add the id to its vessel's probes):"
        for device in found.waiting:
            yield f"\n{device.lines}"
    for stranger in found.strange:
        yield f"\nOn the 1-Wire bus: {stranger.name}, {stranger.account}."


def _look_lines(seen: Look) -> Iterator[str]:
    plan, trust = seen.plan, "trusted" if seen.distrust is None else f"not trusted: {seen.distrust.why}"
    yield (
        f"{plan.id:<14} {plan.driver:<9} {plan.measures:<14} {_value(seen):>12}  "
        f"{seen.reading.quality:<7} in {seen.took_s:.2f} s  {trust}"
    )
    for note in seen.notes:
        yield f"    {note}"


def _value(seen: Look) -> str:
    value, measures = seen.reading.value, seen.plan.measures
    if value is None:
        return "nothing"
    if measures is Measure.FLOAT_LOW:
        return "low" if value else "not low"
    return f"{value:.3f}" if measures is Measure.LIGHT_FRACTION else f"{value:.2f} {_UNITS[measures]}"


def _as_json(found: _Found) -> str:
    others = zip(found.others, found.waiting, strict=True)
    fields = {
        "station": found.station.name if found.station else None,
        "probes": [seen.as_json() for seen in found.named],
        "unnamed": [{**seen.as_json(), "lines": device.lines} for seen, device in others],
        "strangers": [{"name": stranger.name, "account": stranger.account} for stranger in found.strange],
    }
    return json.dumps(fields, indent=1, ensure_ascii=False)
