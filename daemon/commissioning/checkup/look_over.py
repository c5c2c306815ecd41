"""The whole of a checkup: what is looked at, and a finding for programs."""

from collections.abc import Iterator
from pathlib import Path

from daemon.commissioning.checkup import files, system
from daemon.commissioning.checkup.devices import devices, one_wire
from daemon.commissioning.checkup.finding import Finding
from daemon.commissioning.checkup.local_page import local_page
from daemon.commissioning.checkup.service_account import account_found, service_account
from daemon.commissioning.checkup.ways_out import ways_out
from daemon.commissioning.machine import Machine


def findings(config: Path, state: Path, machine: Machine, *, reach: bool) -> Iterator[Finding]:
    """Everything that is looked at, in order; with `reach` servers and broker are called too."""
    account = service_account(machine)
    station, of_file = files.station_file(config, account)
    yield from of_file
    yield account_found(account)
    yield files.state_folder(state, account)
    yield files.store(state, station)
    yield system.disk(state, machine)
    yield system.clock(machine)
    yield system.zones()
    yield system.service(machine)
    if station is None:
        yield from one_wire([], account, machine)  # no station is without a water thermometer
    else:
        yield from files.labels(station)
        yield from local_page(station.page, state, machine)
        yield from ways_out(station, state, machine, reach=reach)
        if station.mqtt is not None and station.mqtt.record:
            from daemon.commissioning.checkup.record import record  # few stations are recorded

            yield record(station.mqtt, station, state)
        yield from devices(station, account, machine)


def as_json(finding: Finding) -> dict[str, str]:
    """A finding as programs read it."""
    return {
        "grade": finding.grade.value,
        "subject": finding.subject,
        "account": finding.account,
        "do": finding.remedy,
    }
