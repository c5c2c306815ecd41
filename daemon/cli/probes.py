"""naupliad probes: what is attached, and what it reads."""

import json
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from daemon.cli.places import config_option, json_option
from daemon.config import read_station
from daemon.running import open_probes
from daemon.station import Station
from sensors.reading import Probe

Clock = Callable[[], float]


@click.command()
@config_option
@json_option
def probes(config: Path, as_json: bool) -> None:
    """Check the station file and read every probe once."""
    station = read_station(config)
    opened = open_probes(station, int(time.time()))
    try:
        told = [_read(station, probe, time.monotonic) for probe in opened]
    finally:
        for probe in opened:
            probe.close()
    if as_json:
        click.echo(json.dumps(told, indent=1))
    else:
        for line in told:
            value = "nothing" if line["value"] is None else f"{line['value']:.2f}"
            click.echo(
                f"{line['probe']:<14} {line['driver']:<10} {line['measures']:<14} "
                f"{value:>9}  {line['quality']:<7} in {line['took_s']:.2f} s"
            )
    if any(line["quality"] != "good" for line in told):
        raise click.exceptions.Exit(1)


def _read(station: Station, probe: Probe, clock: Clock) -> dict[str, Any]:
    began = clock()
    reading = probe.read(int(time.time()))
    plan = station.probe(probe.id)
    return {
        "probe": probe.id,
        "driver": "" if plan is None else plan.driver,
        "measures": probe.measures.value,
        "value": reading.value,
        "quality": reading.quality.value,
        "took_s": round(clock() - began, 3),
    }
