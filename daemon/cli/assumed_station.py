"""What a lesson is planned for where there is no station file: a cup in a room with usual school hours."""

from zoneinfo import ZoneInfo

from daemon.config import parse_station
from daemon.config.checks import Refused, timezone
from daemon.config.machine_zone import machine_zone
from daemon.errors import InputError
from daemon.station import Station

# Hours and cup are assumptions [P]. A station file has a probe; nothing here reads it.
_TEXT = """
[station]
name = "Lesson"
timezone = "{zone}"
attended = ["Mon-Fri 08:00-15:30"]

[[probe]]
id = "water"
measures = "water_c"
driver = "rehearsal"

[[vessel]]
id = "cup"
probes = ["water"]
mark_ml = 250.0
surface_cm2 = 38.5
low_ml = 40.0
"""


def assumed_station(zone: str | None) -> Station:
    """In that time zone, or else the machine's. Raises InputError for what is none."""
    named = zone or machine_zone() or "UTC"
    try:
        found: ZoneInfo = timezone(named)
    except Refused as refused:
        ((_, what, allowed),) = refused.parts
        raise InputError(f"--timezone: found {what}; allowed: {allowed}") from None
    return parse_station(_TEXT.format(zone=found.key), "assumed")
