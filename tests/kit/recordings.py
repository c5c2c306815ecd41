"""What is written down of the small room of `tests/kit/station.py`: tapes, care logs, a short story."""

from collections.abc import Iterable, Mapping
from datetime import UTC, datetime
from pathlib import Path

from tests.kit.station import station_text

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
    station = station_text(driver="rehearsal")
    path.write_text(STORY.format(station=station) + more, encoding="utf-8")
    return path
