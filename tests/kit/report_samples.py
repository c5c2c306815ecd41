"""A winter night of our own making for the tests of reports: heating fails, a lamp goes out, cups hatch."""

import math
from dataclasses import is_dataclass
from datetime import UTC, date, datetime, time, timedelta
from types import NoneType, UnionType
from typing import get_args, get_origin, get_type_hints
from zoneinfo import ZoneInfo

from hypothesis import strategies as st

from reports.letters.hatch import HatchNews
from reports.letters.lamp import LampTrouble
from reports.letters.leave import VesselOutlook
from reports.letters.probe import ProbeTrouble
from reports.letters.stages import STAGES
from reports.letters.vessel_kinds import KINDS
from reports.letters.warmth import TemperatureTrouble
from reports.letters.water import WaterTrouble
from reports.records import (
    Absence,
    Event,
    LampHours,
    Measured,
    NightRecord,
    Point,
    Range,
    RangePoint,
    Setting,
    Span,
    TimeRange,
    VesselNight,
)

ZONE = ZoneInfo("Europe/Lisbon")
BEGAN = datetime(2027, 1, 15, 20, tzinfo=ZONE)
ENDED = datetime(2027, 1, 16, 20, tzinfo=ZONE)
SET_AT = datetime(2027, 1, 15, 10, tzinfo=ZONE)


def at_hour(hours: float, began: datetime = BEGAN) -> datetime:
    """So many real hours after the span began."""
    return (began.astimezone(UTC) + timedelta(hours=hours)).astimezone(began.tzinfo)


def water_c(hours: float, offset_c: float) -> float:
    """Warm under the lamp, a cold stretch from 03:00 to 08:00, then warm again."""
    fall = 7.0 * math.exp(-(((hours - 10.5) / 2.6) ** 2))
    return (
        25.2 + offset_c - fall + 0.25 * math.sin(hours * 2.1) + 0.8 * math.exp(-(((hours - 19) / 2.0) ** 2))
    )


def lux(hours: float) -> float:
    """The lamp from 20:00 to 07:00 but out from 01:30 to 04:00; daylight after 08:00."""
    if hours < 11:
        return 4.0 if 5.5 <= hours < 8.0 else 820.0 + 15 * math.sin(hours * 5)
    return 3000 * max(0.0, math.sin((hours - 12.0) / 9.0 * math.pi)) + 3


def series(value_at, every_min=5, out=(), end=24.0):
    """A value every few minutes; None inside the stretches of hours in `out`."""
    count = int(end * 60 / every_min) + 1
    hours = [n * every_min / 60 for n in range(count)]
    return tuple(Point(at_hour(h), None if any(a <= h < b for a, b in out) else value_at(h)) for h in hours)


def band(middle, spread, every_h=0.5, out=()):
    """A believed value every half hour; none inside the stretches of hours in `out`."""
    hours = [n * every_h for n in range(int(24 / every_h) + 1)]
    kept = [h for h in hours if not any(a <= h < b for a, b in out)]
    return tuple(RangePoint(at_hour(h), believed(middle(h), spread(h))) for h in kept)


def believed(middle, spread):
    """A range about a middle."""
    return Range(middle - spread, middle, middle + spread)


def share(middle, spread):
    """A range of a share, inside 0 and 1."""
    return Range(max(0.0, middle - spread), middle, min(1.0, middle + spread))


def loss_ml(hours):
    """A steady loss, filled to the mark at 09:00."""
    return 12 + 0.7 * hours if hours < 13 else 0.7 * (hours - 13)


def vessel(name="tray-a", count=24, offset_c=0.0, out=(), off=(), **changed):
    """A vessel's night; `out` are hours without readings, `off` hours without the station."""
    given = {
        "vessel": name,
        "count": count,
        "stage": "hatching",
        "watched": True,
        "watched_from": at_hour(0.0),
        "dry": False,
        "dry_s": 0,
        "batch_set_at": SET_AT,
        "cold_c": 20.0,
        "hot_c": 30.0,
        "low_ml": 40.0,
        "brim_ml": 30.0,
        "salinity_low_g_per_kg": 10.0,
        "salinity_high_g_per_kg": 45.0,
        "low_light": 200.0,
        "light_unit": "lux",
        "lamp_hours": (Span(BEGAN, at_hour(11)), Span(at_hour(22), at_hour(24))),
        "water_c": series(lambda h: water_c(h, offset_c), out=out),
        "light": series(lux, out=out[:1]),
        "loss_ml": band(loss_ml, lambda h: 4 + 0.25 * (h % 13), out=off),
        "salinity_g_per_kg": band(lambda h: 24.6 + 0.1 * loss_ml(h), lambda h: 0.4 + 0.03 * h, out=off),
        "hatched_fraction": tuple(
            RangePoint(p.at, share(p.range.p50, p.range.p90 - p.range.p50))
            for p in band(lambda h: 1 / (1 + math.exp(-(h - 17) / 1.6)), lambda _: 0.16, out=off)
        ),
        "hatch_t50": TimeRange(at_hour(14.7), at_hour(17.1), at_hour(20.2)),
        "low_mark_at": TimeRange(at_hour(55), at_hour(71), None),
        "water_c_min_next_16h": Range(19.2, 20.6, 22.1),
        "water_c_max_next_16h": Range(23.1, 24.0, 25.6),
        "loss_ml_per_day": Range(11.0, 16.4, 23.0),
        "harvest_opens_at": None,
        "harvest_closes_at": None,
        "learned_top_ups": 1,
        "deeds": (
            Event(at_hour(13), "top-up", "top-up, 21 mL to the mark"),
            Event(at_hour(13.2), "stir", "stirred"),
            Event(at_hour(15.5), "first-swimmer", "first swimmer seen"),
        ),
        "open_alarms": (),
        "past_alarms": (),
    }
    return VesselNight(**{**given, **changed})


def night(*vessels, **changed):
    """A night's record; by default of one vessel with a few letters sent."""
    given = {
        "station": "Room 12",
        "night": date(2027, 1, 16),
        "span": Span(BEGAN, ENDED),
        "unit": "C",
        "vessels": vessels or (vessel(),),
        "doubts": (),
        "letters": (
            Event(at_hour(5.8), "lamp", "lamp: off in its hours"),
            Event(at_hour(9.1), "cold", "cold: 18.6 °C"),
            Event(at_hour(16.0), "hatch", "hatch: about 30 %"),
            Event(at_hour(23.9), "leave", "before you go"),
        ),
        "outages": (),
        "readings_expected": 1440,
        "readings_came": 1438,
        "readings_good": 1436,
        "next_letter_at": datetime(2027, 1, 17, 20, tzinfo=ZONE),
    }
    return NightRecord(**{**given, **changed})


def local(day, hour, minute=0):
    """A moment of January 2027 in the station's zone."""
    return datetime(2027, 1, day, hour, minute, tzinfo=ZONE)


def away(unit="C", station="Room 12"):
    """Friday night, nobody in the room until Monday."""
    return Setting(station, unit, local(15, 22, 10), False, local(18, 8), local(16, 20))


def here(unit="C", station="Room 12"):
    """Friday afternoon, somebody in the room."""
    back, leaves = local(15, 14, 10), local(15, 15, 30)
    return Setting(station, unit, local(15, 14, 10), True, back, local(15, 20), leaves_at=leaves)


LATELY = local(15, 22, 5)


def read(value, at=LATELY):
    """What was read a moment ago, here or away; a figure of an earlier day is old."""
    return Measured(value, at)


def in_readings(changed, *names):
    """The same, where a bare figure stands for what was read a moment ago."""
    bare = {name: read(changed[name]) for name in names if isinstance(changed.get(name), float | int)}
    return {**changed, **bare}


def cold(**changed):
    """A cold tray on Friday night."""
    given = {
        "kind": "cold",
        "vessel": "tray-a",
        "count": 24,
        "water_c": read(17.4),
        "limit_c": 20.0,
        "extreme_c": 17.3,
        "since": local(15, 12, 40),
        "beyond_for": timedelta(hours=9, minutes=30),
        "read_for": timedelta(days=9),
        "stage": "hatching",
        "vessel_kind": "cup",
        "has_lamp": True,
        "lamp_lit": changed.get("has_lamp", True),
        "room_c": read(15.1),
        "water_c_min_next_16h": Range(15.4, 16.2, 17.0),
        "hatch_t50": TimeRange(local(16, 18), local(17, 3), None),
        "hatched_fraction": Range(0.0, 0.02, 0.09),
    }
    return TemperatureTrouble(**{**given, **in_readings(changed, "water_c", "room_c")})


def hot(**changed):
    """A hot cone."""
    return cold(
        **{
            "kind": "hot",
            "vessel": "cone",
            "vessel_kind": "cone",
            "count": 1,
            "water_c": 32.4,
            "limit_c": 30.0,
            "extreme_c": 33.6,
        }
        | changed
    )


LAMP, DARK_FOR = (LampHours(time(18), time(7)),), timedelta(hours=1, minutes=30)


def lamp(**changed):
    """A lamp that went out."""
    given = ("tray-a", 24, 4.0, "lux", 200.0, local(15, 5, 30), DARK_FOR, LAMP, read(24.2), "set", "cup")
    named = dict(zip(LampTrouble.__slots__, given, strict=False))
    return LampTrouble(**{**named, **in_readings(changed, "water_c")})


def water(**changed):
    """A tray near its low mark."""
    low_at = TimeRange(local(15, 23), local(16, 3), local(16, 20))
    level, salt = Range(28.0, 34.0, 44.0), Range(28.1, 28.7, 30.0)
    limits = (10.0, 38.0, 250.0, 0.0)
    given = ("tray-a", 24, level, 40.0, low_at, salt, *limits, 34.0, 2, "hatching", None, False)
    return WaterTrouble(**{**dict(zip(WaterTrouble.__slots__, given, strict=True)), **changed})


def probe(**changed):
    """A probe out of the water."""
    given = ("tray-water", "water_c", ("tray-a",), "in-air", local(15, 12, 2), local(15, 12, 1), 24.6)
    return ProbeTrouble(**{**dict(zip(ProbeTrouble.__slots__, given, strict=True)), **changed})


T10 = TimeRange(local(15, 8), local(15, 9, 20), local(15, 11))
T50 = TimeRange(local(15, 18), local(15, 21), local(16, 2))
T90 = TimeRange(local(16, 3), local(16, 9), None)


def hatch(**changed):
    """A hatch under way."""
    given = ("tray-a", 24, local(14, 15), Range(0.4, 0.51, 0.62), T10, T50, T90, "cup")
    return HatchNews(**{**dict(zip(HatchNews.__slots__, given, strict=True)), **changed})


WEEKEND = Absence(local(15, 15, 30), local(18, 8))


def outlook(**changed):
    """A tray before a weekend."""
    given = {
        "vessel": "tray-a",
        "count": 24,
        "batch_set_at": local(14, 15),
        "fill_ml": 36.0,
        "above_mark_ml": 12.0,
        "fill_holds": True,
        "loss_ml_at_return": Range(22.0, 31.0, 43.0),
        "salinity_at_return": Range(27.1, 28.2, 29.9),
        "low_ml": 40.0,
        "cold_c": 20.0,
        "hot_c": 30.0,
        "water_c_min_next_16h": Range(17.2, 18.9, 20.6),
        "lamp_hours": LAMP,
        "hatched_fraction": Range(0.1, 0.2, 0.31),
        "hatch_t10": T10,
        "hatch_t50": T50,
        "hatch_t90": T90,
        "learned_top_ups": 2,
        "stage": "hatching",
    }
    return VesselOutlook(**{**given, **changed})


# Lone surrogates and controls too; what a letter must not say of itself is no name of a vessel.
_WORDS = st.text(st.characters(exclude_categories=()), max_size=90).filter(lambda text: "None" not in text)
_MOMENTS = st.datetimes(
    datetime(2020, 1, 1),  # noqa: DTZ001 - hypothesis wants its bounds without a zone
    datetime(2035, 1, 1),  # noqa: DTZ001 - hypothesis wants its bounds without a zone
    timezones=st.just(ZONE),
    allow_imaginary=False,
)
_FIELDS = {
    "unit": st.sampled_from(["C", "F"]),
    "light_unit": st.sampled_from(["lux", "fraction", None]),
    "kind": st.sampled_from(["cold", "hot"]),
    "stage": st.sampled_from(list(STAGES)),
    "vessel_kind": st.sampled_from(KINDS),
    "afterwards": st.sampled_from(["over", "again", "unjudged"]),
    "span": st.builds(lambda at, hours: Span(at, at_hour(hours, at)), _MOMENTS, st.floats(0.0, 48.0)),
    "readings_expected": st.integers(0, 20_000),
    "readings_came": st.integers(0, 20_000),
    "readings_good": st.integers(0, 20_000),
}
_LEAVES = {
    str: _WORDS,
    int: st.integers(0, 10**6),
    bool: st.booleans(),
    float: st.floats(allow_nan=False) | st.floats(0.0, 100.0),
    datetime: _MOMENTS,
    date: st.dates(),
    time: st.times(),
    timedelta: st.timedeltas(timedelta(0), timedelta(days=40)),
}


def any_of(kind, number=_LEAVES[float], text=_WORDS):
    """Any record of a kind, built from its fields' types; nothing about it need make sense."""
    if isinstance(kind, UnionType):
        part = next(part for part in get_args(kind) if part is not NoneType)
        return st.none() | any_of(part, number, text)
    if get_origin(kind) is frozenset:
        return st.frozensets(any_of(get_args(kind)[0], number, text), max_size=3)
    if get_origin(kind) is tuple:
        return st.lists(any_of(get_args(kind)[0], number, text), max_size=3).map(tuple)
    if is_dataclass(kind):
        hints = get_type_hints(kind).items()
        return st.builds(
            kind,
            **{
                name: _FIELDS[name] if name in _FIELDS else any_of(hint, number, text) for name, hint in hints
            },
        )
    return {**_LEAVES, float: number, str: text}[kind]
