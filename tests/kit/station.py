"""The one builder of stations: tables of a station file, its whole text, and what the daemon reads in it.

Nothing said, it is a small room: one cup with a thermometer in it and another one in the room's air.
"""

import json
from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

from daemon.config import parse_station
from daemon.station import Station, Vessel

SCHOOL_HOURS = ("Mon-Fri 08:00-15:30",)
PROBES = ("cup-water", "room-air")


def table(heading: str, **keys: object) -> str:
    """A table, `[[probe]]` say, with its keys."""
    lines = (f"{key} = {json.dumps(value, ensure_ascii=False)}\n" for key, value in keys.items())
    return f"{heading}\n" + "".join(lines)


def probe(probe_id: str, measures: str = "water_c", driver: str = "rehearsal", **keys: object) -> str:
    """A probe; `keys` are its driver's."""
    return table("[[probe]]", id=probe_id, measures=measures, driver=driver, **keys)


def vessel(vessel_id: str, *probes: str, **keys: object) -> str:
    """A cup of 250 mL, or whatever `keys` make of it."""
    size = {"mark_ml": 250.0, "surface_cm2": 38.5, "low_ml": 40.0}
    return table("[[vessel]]", id=vessel_id, **{**size, "probes": probes, **keys})


def post(port: int, host: str = "localhost", **keys: object) -> str:
    """Mail to one teacher, by a server on this machine."""
    told = {"from": "cups@school.example", "to": ["teacher@school.example"], **keys}
    return table("[post]", smtp_host=host, smtp_port=port, security="plain-on-loopback", **told)


def station_text(
    *tables: str,
    driver: str = "tape",
    name: str = "Small room",
    zone: str = "Europe/Lisbon",
    attended: Iterable[str] = SCHOOL_HOURS,
    every_s: int = 60,
    **keys: object,
) -> str:
    """A station file: all of its `tables`, or else the small room's, whose probes are read by `driver`.

    `keys` are more of the table `[station]`.
    """
    head = {"name": name, "timezone": zone, "attended": list(attended), "sample_every_s": every_s, **keys}
    return "\n".join((table("[station]", **head), *(tables or _small_room(driver))))


def _small_room(driver: str) -> Iterable[str]:
    keys = {"file": "tape.csv"} if driver == "tape" else {}
    for probe_id, measures in zip(PROBES, ("water_c", "room_c"), strict=True):
        yield probe(probe_id, measures, driver, **keys)
    yield vessel("cup", *PROBES, brim_ml=30.0, cold_c=20.0, hot_c=30.0)


def station(*tables: str, **told: Any) -> Station:
    """What is read in a station file of these words (see `station_text`)."""
    return parse_station(station_text(*tables, **told), "station.toml")


def tray(**changes: Any) -> Vessel:
    """24 cups without probes, as beliefs are handed them; `changes` by the names of `Vessel`."""
    (cups,) = station(probe("water"), vessel("cup", "water", count=24, brim_ml=30.0)).vessels
    return replace(cups, **{"probes": (), "low_light_fraction": 0.5, **changes})


def zone_where_it_is(hour: int, now: int) -> str:
    """A time zone whose clock shows this hour now: a test means the same at any time of day."""
    ahead = (hour - datetime.fromtimestamp(now, UTC).hour + 11) % 24 - 11
    # POSIX signs: Etc/GMT-3 is three hours ahead of UTC.
    name = f"Etc/GMT{-ahead:+d}"
    shown = datetime.fromtimestamp(now, UTC) + timedelta(hours=ahead)
    assert shown.hour == hour
    return name
