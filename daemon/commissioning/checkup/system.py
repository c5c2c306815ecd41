"""What the daemon needs of the system it runs on: room on the disk, a right clock, time zones, a service."""

import os
from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import available_timezones

from daemon.clock_keeper import Keeper, kept_by
from daemon.commissioning.checkup.finding import Finding, look, ok, wrong
from daemon.commissioning.checkup.service_account import INSTALL, SERVICE
from daemon.commissioning.machine import Machine

# A year of six probes takes some 122 MB (measured: 33 bytes a reading), a chart 0.1 MB; other logs fill
# a card faster than that (judgement).
_LITTLE_MB, _TOO_LITTLE_MB = 500, 100
# A Pi without a battery begins with the date of its system's image when it is cut off.
_EARLIEST = datetime(2026, 1, 1, tzinfo=UTC)
_KEPT = {
    Keeper.NETWORK: "set from the network",
    Keeper.BATTERY: "as the battery clock has it",
    Keeper.HOST: "kept by whoever runs this machine",
}
_UNIT = f"{SERVICE}.service"
_SHOWN = "LoadState,ActiveState,UnitFileState,NRestarts"


def disk(state: Path, machine: Machine) -> Finding:
    """Room where the store is, or will be."""
    folder = next(place for place in (state.absolute(), *state.absolute().parents) if place.is_dir())
    if os.statvfs(folder).f_flag & os.ST_RDONLY:
        return wrong(
            "disk",
            f"{folder} is on a disk that is mounted read-only: a worn card does that",
            "Copy what you need from it, and put in a new card.",
        )
    free_mb = machine.free_bytes(folder) // 1_000_000
    free = f"{free_mb / 1000:.1f} GB free at {folder}"
    remedy = "Make room: sudo apt clean; sudo journalctl --vacuum-size=100M; remove what is not needed."
    if free_mb < _TOO_LITTLE_MB:
        return wrong("disk", free, remedy)
    return look("disk", free, remedy) if free_mb < _LITTLE_MB else ok("disk", free)


def clock(machine: Machine) -> Finding:
    """Whether the time can be right, and somebody keeps it so."""
    now = datetime.fromtimestamp(machine.now(), UTC)
    utc = f"{now:%Y-%m-%d %H:%M} UTC"
    if now < _EARLIEST:
        return wrong(
            "clock",
            f"{utc}, long past",
            'Connect the Pi to the network, or: sudo date -s "2027-01-15 13:40".',
        )
    kept = kept_by(machine.root, int(now.timestamp()), machine.kernel)
    if kept is Keeper.NOBODY:
        return look(
            "clock",
            f"{utc}, not set from the network since the start",
            "See timedatectl timesync-status; the school's network must let the Pi ask for the time (NTP)."
            " Where no service keeps it: sudo systemctl enable --now systemd-timesyncd.",
        )
    return ok("clock", f"{utc}, {_KEPT[kept]}")


def zones() -> Finding:
    """Whether local times can be known at all."""
    count = len(available_timezones())
    if count == 0:
        return wrong("time zones", "no time zone data on this machine", "sudo apt install tzdata")
    return ok("time zones", f"data for {count} zones")


def service(machine: Machine) -> Finding:
    """Whether systemd runs the daemon, and will after a power cut."""
    said = machine.said(["systemctl", "show", _UNIT, f"--property={_SHOWN}"])
    unit = dict(line.partition("=")[::2] for line in (said or "").splitlines() if "=" in line)
    if "LoadState" not in unit:
        account = "no systemd answers here, so the daemon starts neither by itself nor after a power cut"
        return look("service", account, "On a Raspberry Pi this is in place; elsewhere: naupliad run.")
    if unit["LoadState"] != "loaded":
        return look("service", f"{_UNIT} is not installed", INSTALL)
    active = unit.get("ActiveState", "")
    if active == "failed" or (active != "active" and unit.get("NRestarts", "0") != "0"):
        account = f"the daemon does not stay up ({active}, started anew {unit.get('NRestarts', '?')} times)"
        return wrong("service", account, f"See why: journalctl -u {SERVICE} -n 30.")
    if active != "active":
        return look("service", f"the daemon does not run ({active})", f"sudo systemctl start {SERVICE}")
    if unit.get("UnitFileState") != "enabled":
        return look(
            "service", "the daemon runs, but does not start by itself", f"sudo systemctl enable {SERVICE}"
        )
    return ok("service", "the daemon runs, and starts by itself")
