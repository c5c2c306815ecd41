"""Random stations: vessels of every kind, with and without each probe, hours and limits of many shapes."""

import random
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from daemon.config.station_file import VESSEL_KEYS
from daemon.config.ways_out import POST_KEYS
from tests.kit import station as tables

DAY_S = 86_400
NAMES = ("tray-a", "cone-1", "kiste-3", "Window.1", "x_2", "shelf-top-left", "jar", "b")
# (timezone, local days around which its clock changes)
ZONES = (
    ("Europe/Lisbon", ("2027-03-28", "2027-10-31")),
    ("Europe/Berlin", ("2027-03-28", "2027-10-31")),
    ("America/Chicago", ("2027-03-14", "2027-11-07")),
    ("Pacific/Auckland", ("2027-04-04", "2027-09-26")),
    ("Asia/Kolkata", ()),
)
ATTENDED: tuple[tuple[str, ...], ...] = (
    *(("Mon-Fri 08:00-15:30",),) * 6,
    ("Mon-Fri 08:00-15:30", "Sat 09:00-12:00"),
    ("Mon,Wed,Fri 09:00-12:00",),
    ("Mon-Fri 18:00-23:30",),
    ("Mon-Sun 07:00-21:00",),
    ("Tue 16:00-18:00",),
    ("Mon-Fri 05:30-07:00", "Mon-Fri 14:00-16:00"),
    ("Fri-Sat 21:00-02:00",),
    (),
)
LAMPS: tuple[tuple[str, ...], ...] = (
    ("18:00-07:00",),
    ("07:00-19:00",),
    ("06:00-09:00", "16:00-24:00"),
    ("00:00-24:00",),
    ("12:00-13:30",),
    ("22:00-04:00",),
)
# (kind, count, mark_ml, surface_cm2, low_ml)
SIZES = (
    ("cup", 1, 250.0, 38.5, 40.0),
    ("cup", 24, 250.0, 38.5, 40.0),
    ("cup", 6, 150.0, 28.3, 25.0),
    ("cup", 30, 300.0, 44.0, 60.0),
    ("jar", 1, 1800.0, 95.0, 400.0),
    ("jar", 1, 900.0, 70.0, 120.0),
    ("cone", 1, 2000.0, 130.0, 300.0),
    ("cone", 1, 1000.0, 80.0, 100.0),
)


@dataclass(frozen=True, slots=True)
class DrawnStation:
    """A station file's words, and what the drawn physics must know of it beside them."""

    text: str
    begins: int  # Unix seconds
    ends: int


def drawn_station(rng: random.Random) -> DrawnStation:
    """One of them."""
    zone, changes = rng.choice(ZONES)
    every_s = rng.choices((600, 300, 1800, 60), (76, 8, 10, 6))[0]
    days = rng.uniform(*rng.choices(((1.5, 3.0), (3.0, 5.0), (5.0, 9.0)), (60, 30, 10))[0])
    if every_s == 60:  # ten times the beats
        days = min(days, 2.2)
    begins = _begin(rng, zone, changes)
    probes = _Probes()
    names = rng.sample(NAMES, rng.choices((1, 2, 3), (60, 28, 12))[0])
    vessels = [_vessel(rng, name, probes) for name in names]
    text = tables.station_text(
        *probes.tables,
        *vessels,
        _post(rng),
        name="Room 12",
        zone=zone,
        attended=rng.choice(ATTENDED),
        every_s=every_s,
        away=_away(rng, begins, days),
        temperature_unit=rng.choices("CF", (75, 25))[0],
        language=rng.choices(("en", "de"), (80, 20))[0],
    )
    return DrawnStation(text, begins, begins + round(days * DAY_S))


def _begin(rng: random.Random, zone: str, changes: tuple[str, ...]) -> int:
    """Some day of 2027, one time in four shortly before a change of the clocks."""
    day = date(2027, 1, 4) + timedelta(days=rng.randrange(350))
    if changes and rng.random() < 0.25:
        day = date.fromisoformat(rng.choice(changes)) - timedelta(days=rng.randrange(3))
    local = datetime.combine(day, time(rng.randrange(5, 19), rng.randrange(60)), ZoneInfo(zone))
    return int(local.timestamp())


def _away(rng: random.Random, begins: int, days: float) -> list[str]:
    if rng.random() > 0.2:
        return []
    first = datetime.fromtimestamp(begins, UTC).date() + timedelta(days=rng.randrange(1, max(2, int(days))))
    return [f"{first}/{first + timedelta(days=rng.randrange(5))}"]


class _Probes:
    """The probes drawn so far; those of the room are shared."""

    def __init__(self) -> None:
        self.tables: list[str] = []
        self._ids: set[str] = set()

    def of(self, probe_id: str, measures: str) -> str:
        """The probe's id; its table is written once."""
        if probe_id not in self._ids:
            self._ids.add(probe_id)
            self.tables.append(tables.probe(probe_id, measures, "tape", file="tape.csv"))
        return probe_id


def _vessel(rng: random.Random, name: str, probes: _Probes) -> str:
    kind, count, mark_ml, surface_cm2, low_ml = rng.choice(SIZES)
    lamp = list(rng.choice(LAMPS)) if rng.random() < 0.55 else []
    ids = [probes.of(f"{name}-w", "water_c")]  # each vessel needs one
    if rng.random() < 0.55:
        ids.append(probes.of("room-air", "room_c"))
    if rng.random() < 0.35:
        ids.append(probes.of("room-rh", "room_rh_pct"))
    if rng.random() < (0.5 if lamp else 0.2):
        shared, measures = rng.random() < 0.4, "light_lux" if rng.random() < 0.8 else "light_fraction"
        ids.append(probes.of(f"{'shelf' if shared else name}-{measures[6:]}", measures))
    keys: dict[str, object] = {}
    if rng.random() < 0.12:
        ids.append(probes.of(f"{name}-f", "float_low"))
        keys["float_ml"] = low_ml
    brim_ml = rng.choice((0.0, 0.0, round(mark_ml * 0.06), round(mark_ml * 0.15)))
    return tables.vessel(
        name,
        *ids,
        kind=kind,
        count=count,
        mark_ml=mark_ml,
        surface_cm2=surface_cm2,
        low_ml=rng.choice((low_ml, low_ml, round(low_ml * 0.5))),
        brim_ml=brim_ml,
        rim_above_water_cm=round(max(1.0, brim_ml / surface_cm2 + 0.1), 1),
        cold_c=rng.choice((20.0, 20.0, 18.0, 22.0, 15.0)),
        hot_c=rng.choice((30.0, 30.0, 28.0, 32.0)),
        swing_k=rng.choice((10.0, 10.0, 6.0)),
        salinity_low_g_per_kg=rng.choice((10.0, 5.0, 15.0)),
        salinity_high_g_per_kg=rng.choice((45.0, 35.0, 60.0)),
        lamp=lamp,
        **keys,
        **_newer_keys(rng, kind),
    )


def _newer_keys(rng: random.Random, kind: str) -> dict[str, object]:
    """Keys that not every version of the station file knows; drawn in all, so that a seed stays itself."""
    batch, heated, aired, litres = (rng.random(), rng.random(), rng.random(), rng.choice((0.3, 1.0, 2.0)))
    keys: dict[str, object] = {}
    if batch < 0.2:
        keys["watch"] = "batch"
    if heated < 0.3 and kind == "cone":
        keys["heater_c"] = 27.0
    if aired < 0.4 and kind != "cup":
        keys["air_l_per_min"] = litres
    return {key: value for key, value in keys.items() if key in VESSEL_KEYS}


def _post(rng: random.Random) -> str:
    urgent = rng.random() < 0.1
    newer = {"urgent": ["cold"]} if urgent and "urgent" in POST_KEYS else {}
    return tables.post(
        2525,
        **newer,
        nightly=rng.random() < 0.85,
        nightly_at=rng.choice(("20:00", "20:00", "20:00", "17:30", "21:45", "06:30")),
        morning_at=rng.choice(("07:15", "07:15", "07:15", "08:30", "06:00")),
        quiet=rng.choice(("20:00-07:00", "20:00-07:00", "20:00-07:00", "", "22:00-06:00")),
    )
