"""Vessels of each kind at each stage, on one store and its desks: brought there by deeds and readings.

It is a Friday in January 2027 after a Thursday off. What was read before is put into the store at once, and
believed from there; from then on the shelf lives.
"""

import atexit
import shutil
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from daemon.care.deed import Deed
from daemon.config import parse_station
from daemon.letters.conversions import setting
from daemon.letters.night_record import night_record
from daemon.letters.scribe import Scribe
from daemon.stages import Stage
from daemon.station import Station
from daemon.store import readings as reading_store
from daemon.store import runs as run_store
from daemon.store.runs import Outage
from daemon.watching.snapshot.snapshots import Snapshots
from reports.records import LetterText, NightRecord, Setting
from sensors.reading import Measure, Quality, Reading
from tests.kit.desks import HOUR, Desks, moment
from tests.kit.station import probe, station_text, vessel

STEP_S = 1800
WEDNESDAY, FRIDAY = 13, 15
BACK = moment(FRIDAY, "07:30")
LAMP = ("06:00-15:00", "18:00-20:00")

# A tray of cups, a cone with air and a heater, and a jar that is watched only while a batch runs in it.
KINDS: Mapping[str, Mapping[str, object]] = {
    "tray": {"kind": "cup", "count": 24, "brim_ml": 30.0},
    "cone": {
        "kind": "cone",
        "mark_ml": 2000.0,
        "surface_cm2": 150.0,
        "low_ml": 200.0,
        "brim_ml": 100.0,
        "air_l_per_min": 1.0,
    },
    "jar": {
        "kind": "jar",
        "mark_ml": 1500.0,
        "surface_cm2": 100.0,
        "low_ml": 150.0,
        "brim_ml": 50.0,
        "watch": "batch",
    },
}


@dataclass(frozen=True, slots=True)
class Course:
    """How a vessel comes to its stage: its water, °C, and its deeds with the share of its mark they move.

    `looks` are what people record of what they see in the tray; of the cone and the jar nobody records any.
    """

    water_c: float
    deeds: Sequence[tuple[tuple[int, str], str, float | None]] = ()
    looks: Sequence[tuple[tuple[int, str], str, float | None]] = ()


_SET = ((13, "14:00"), "set", None)
_SET_ON_TUESDAY = ((12, "07:00"), "set", None)
COURSES: Mapping[Stage, Course] = {
    Stage.NOTHING_SET: Course(22.0),
    Stage.SET: Course(13.5, [_SET]),
    Stage.HATCHING: Course(17.0, [_SET], [((13, "15:00"), "hatched", 0.0)]),
    Stage.HATCHED: Course(18.4, [((13, "05:00"), "set", None)]),
    Stage.GROWING: Course(24.0, [_SET_ON_TUESDAY], [((13, "09:00"), "hatched", 1.0)]),
    Stage.BEING_HARVESTED: Course(
        24.0, [_SET_ON_TUESDAY, ((13, "15:00"), "harvest", 0.3)], [((13, "09:00"), "hatched", 1.0)]
    ),
    Stage.HARVESTED: Course(26.0, [_SET, ((14, "17:00"), "harvest", 0.8)]),
    Stage.ENDED: Course(26.0, [_SET, ((14, "17:00"), "end", None)]),
}
# Vessels and stages at which the station file gives a heater.
HEATED = {("cone", stage) for stage, course in COURSES.items() if course.water_c > 15.0}
_READ_FROM = moment(WEDNESDAY, "12:00")  # swings are of a day


def name(kind: str, stage: Stage) -> str:
    """The vessel of a kind at a stage."""
    return f"{kind}-{stage.value.replace(' ', '-')}"


# A jar differs from the others in what it is called and when it is watched: elsewhere it is one too many.
_JARS_AT = {Stage.NOTHING_SET, Stage.HATCHED, Stage.ENDED}
NAMES = {
    name(kind, stage): (kind, stage)
    for kind in KINDS
    for stage in Stage
    if kind != "jar" or stage in _JARS_AT
}


def shelf_station() -> Station:
    """A vessel of each kind for each stage, each with a thermometer of its own."""
    return parse_station(shelf_text(), "station.toml")


def shelf_text(**spoken: str) -> str:
    """The same as a station file, in another language or unit where `spoken` says so."""
    return station_text(
        probe("light", "light_lux"),
        probe("room", "room_c"),
        *(probe(f"{one}-water") for one in NAMES),
        *(_vessel(one, kind, stage) for one, (kind, stage) in NAMES.items()),
        **{"name": "Room 7", **spoken},
        away=["2027-01-14"],
        every_s=STEP_S,
    )


def _vessel(one: str, kind: str, stage: Stage) -> str:
    heater = {"heater_c": COURSES[stage].water_c} if (kind, stage) in HEATED else {}
    limits = {"cold_c": 11.0, "hot_c": 30.0, "salinity_high_g_per_kg": 38.0}
    keys = {**limits, "lamp": list(LAMP), **KINDS[kind], **heater}
    return vessel(one, f"{one}-water", "light", "room", **keys)


class Shelf:
    """The vessels as they stand on Friday morning, and what is done with them from there."""

    def __init__(self, folder: Path) -> None:
        self.station, self.at = shelf_station(), BACK
        shutil.copytree(_as_it_stands(), folder, dirs_exist_ok=True)
        self.desks = Desks(self.station, folder, BACK, kept=True)
        self.desks.alarms.take_up(BACK)

    def live(
        self,
        until: int,
        *,
        water_c: float | None = None,
        lux: float | None = None,
        thermometers: Quality = Quality.GOOD,
    ) -> None:
        """Readings up to `until`, judged; all water of `water_c`, °C, and `lux` of light where given."""
        while self.at < until:
            self.at += STEP_S
            told = {Measure.LIGHT_LUX: lux, Measure.WATER_C: water_c}
            readings = []
            for plan in self.station.probes:
                value = _calm(plan.id, self.at) if told.get(plan.measures) is None else told[plan.measures]
                quality = Quality.GOOD if plan.measures is Measure.LIGHT_LUX else thermometers
                readings.append(Reading(self.at, plan.id, value, quality))
            reading_store.add(self.desks.store.connection, readings)
            self.desks.beliefs.feed(readings)
            self.desks.alarms.judge(readings)

    def judge(self) -> None:
        """What is judged by the hour, of now."""
        self.desks.alarms.take(self.desks.judge.judge(self.at))

    def be_off(self, until: int) -> None:
        """Nothing is read up to then."""
        run_store.add_outage(self.desks.store.connection, Outage(self.at, until, True))
        self.at = until - STEP_S
        self.live(until)

    def tell(self, deed: str, share: float, stages: Iterable[Stage], **detail: float) -> None:
        """Somebody does something to the vessels at these stages, with this share of their mark."""
        for one, (kind, stage) in NAMES.items():
            if stage in stages:
                _tell(self.desks, one, deed, share * _mark_ml(kind), at=self.at, **detail)

    def scribe(self, **spoken: str) -> Scribe:
        """Who writes of it, in another language or unit where `spoken` says so."""
        desks, station = self.desks, replace(self.station, **spoken)
        known = (station, desks.store.connection, desks.beliefs, desks.alarms.watch, desks.batch_letters)
        return Scribe(*known, lambda: desks.free_bytes)

    def letter(self, kind: str, one: str, **spoken: str) -> LetterText | None:
        """The scribe's letter about a vessel now."""
        return self.scribe(**spoken).letter(kind, [one], self.at)

    def record(self, one: str, **spoken: str) -> tuple[Setting, NightRecord]:
        """A vessel's day and night up to now, as if it were the only one, and where that is told."""
        desks, alone = self.desks, replace(self.station, vessels=(self.station.vessel(one),), **spoken)
        desks.beliefs.write([one], self.at)
        connection = desks.store.connection
        return setting(alone, connection, self.at), night_record(alone, connection, self.at)


@cache
def _as_it_stands() -> Path:
    """Its store and its snapshot on Friday morning, made once in a process: believing takes a second."""
    folder = TemporaryDirectory(prefix="naupliad-shelf-")
    atexit.register(folder.cleanup)
    path, station = Path(folder.name), shelf_station()
    desks = Desks(station, path, moment(12, "06:00"))
    _read_before(desks, BACK)
    desks.beliefs.rebuild(list(NAMES), BACK)
    Snapshots(path, station).take(desks.store.connection, BACK, desks.beliefs)
    desks.store.close()
    return path


def _read_before(desks: Desks, until: int) -> None:
    readings = []
    for at in range(moment(12, "06:00"), until + 1, STEP_S):
        readings += [
            Reading(at, plan.id, value, Quality.GOOD)
            for plan in desks.station.probes
            if (value := _calm(plan.id, at)) is not None
        ]
    reading_store.add(desks.store.connection, readings)
    for one, (kind, stage) in NAMES.items():
        course = COURSES[stage]
        told = sorted([*course.deeds, *(course.looks if kind == "tray" else ())])
        for (day, clock), deed, share in told:
            amount = share if deed == "hatched" else None if share is None else share * _mark_ml(kind)
            _tell(desks, one, deed, amount, at=moment(day, clock))


def _tell(desks: Desks, one: str, deed: str, amount: float | None, *, at: int, **detail: float | str) -> None:
    if deed == "set":
        amount, detail = 0.05, {"salt_g_per_l": 25.0}
    desks.care.record(Deed(at, one, deed, amount, detail), at)


def _calm(probe_id: str, at: int) -> float | None:
    """What a probe reads when nothing is the matter; None before its vessel's time."""
    if probe_id == "light":
        return 300.0 if lamp_is_due(at) else 5.0
    if probe_id == "room":
        return 20.0
    course = COURSES[NAMES[probe_id.removesuffix("-water")][1]]
    first = min([_READ_FROM, *(moment(*when) for when, _, _ in course.deeds)])
    return course.water_c if at >= first else None


def lamp_is_due(at: int) -> bool:
    """Whether the lamps' hours are on; Lisbon has no summer time in January."""
    clock = at % (24 * HOUR) / HOUR
    return 6.0 < clock <= 15.0 or 18.0 < clock <= 20.0


def _mark_ml(kind: str) -> float:
    return float(str(KINDS[kind].get("mark_ml", 250.0)))
