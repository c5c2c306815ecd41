"""A station of one cup with two probes, its tapes and a short story, for the tests of whole commands."""

from collections.abc import Iterable, Mapping
from datetime import UTC, datetime, timedelta
from pathlib import Path

PROBES = ("cup-water", "room-air")
_HEADER = "time,probe,value,fault\n"
_CARE_HEADER = "time,vessel,deed,amount,unit,detail\n"

STORY = """
[story]
title = "A short morning"
tell = "A jar is set in the morning, and somebody looks at the thermometer."
seed = 7
begins = 2027-03-11T08:00:00+00:00
ends = 2027-03-11T11:00:00+00:00

[station]
text = '''
{station}'''

[[event]]
at = 2027-03-11T08:30:00+00:00
do = "set"
grams = 0.05
salt_g_per_l = 25
lot = "spring-tin"
"""


def station_text(
    driver: str = 'driver = "tape"\nfile = "tape.csv"',
    *,
    every_s: int = 60,
    zone: str = "Europe/Lisbon",
    attended: str = '["Mon-Fri 08:00-15:30"]',
) -> str:
    """The station file; `driver` are the lines that all its probes share."""
    probes = "".join(
        f'[[probe]]\nid = "{probe}"\nmeasures = "{measures}"\n{driver}\n\n'
        for probe, measures in zip(PROBES, ("water_c", "room_c"), strict=True)
    )
    return f"""[station]
name = "Small room"
timezone = "{zone}"
attended = {attended}
sample_every_s = {every_s}

{probes}[[vessel]]
id = "cup"
mark_ml = 250.0
surface_cm2 = 38.5
low_ml = 40.0
brim_ml = 30.0
probes = ["cup-water", "room-air"]
cold_c = 20.0
hot_c = 30.0
"""


def stamp(at: int) -> str:
    """Unix seconds as files tell them."""
    return datetime.fromtimestamp(at, UTC).isoformat()


def unix(moment: str) -> int:
    """RFC 3339 to Unix seconds."""
    return int(datetime.fromisoformat(moment).timestamp())


def tape_rows(began: int, count: int, told: Mapping[str, str], every_s: int = 60) -> list[str]:
    """Rows of `count` beats, all alike: `told` is VALUE,FAULT by probe."""
    return [
        f"{stamp(began + beat * every_s)},{probe},{said}"
        for beat in range(count)
        for probe, said in told.items()
    ]


def good(water_c: float, room_c: float = 21.0) -> dict[str, str]:
    """What good probes tell."""
    return {"cup-water": f"{water_c},", "room-air": f"{room_c},"}


def write_tape(path: Path, rows: Iterable[str]) -> Path:
    """A tape with these rows."""
    path.write_text(_HEADER + "".join(f"{row}\n" for row in rows), encoding="utf-8")
    return path


def write_care(path: Path, *rows: str) -> Path:
    """A care log with these rows."""
    path.write_text(_CARE_HEADER + "".join(f"{row}\n" for row in rows), encoding="utf-8")
    return path


def write_story(path: Path, more: str = "") -> Path:
    """The short story, and more."""
    station = station_text('driver = "rehearsal"')
    path.write_text(STORY.format(station=station) + more, encoding="utf-8")
    return path


def zone_where_it_is(hour: int, now: int) -> str:
    """A time zone whose clock shows this hour now: a test means the same at any time of day."""
    ahead = (hour - datetime.fromtimestamp(now, UTC).hour + 11) % 24 - 11
    # POSIX signs: Etc/GMT-3 is three hours ahead of UTC.
    name = f"Etc/GMT{-ahead:+d}"
    shown = datetime.fromtimestamp(now, UTC) + timedelta(hours=ahead)
    assert shown.hour == hour
    return name
