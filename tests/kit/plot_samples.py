"""Records for the page's charts: a night, a weekend, two months, and nights in which the clocks change."""

import math
from datetime import date, datetime
from zoneinfo import ZoneInfo

from reports.records import Event, NightRecord, PastAlarm, Point, Range, RangePoint, RoomAir, Span
from tests.kit.report_samples import at_hour, believed, night, share, vessel

ZONE = ZoneInfo("Europe/Lisbon")
# Two months by the store: 720 readings (daemon/letters/points.py), what is believed by the hour.
_READINGS, _HOURS = 720, 60 * 24


def of_days(days: float, began: datetime, **changed: object) -> NightRecord:
    """A vessel watched for so many real days, filled every third, with all there can be in a chart."""
    hours = days * 24
    count = min(int(hours * 60), _READINGS)
    at = [at_hour(hours * n / count, began) for n in range(count + 1)]
    hourly = [at_hour(n, began) for n in range(int(hours) + 1)]
    given: dict[str, object] = {
        "batch_set_at": began,
        "watched_from": began,
        "lamp_hours": tuple(
            Span(at_hour(24 * n + 2, began), at_hour(24 * n + 13, began)) for n in range(int(days))
        ),
        "water_c": tuple(Point(one, _water_c(n * hours / count)) for n, one in enumerate(at)),
        "light": tuple(Point(one, _lux(n * hours / count)) for n, one in enumerate(at)),
        "loss_ml": tuple(RangePoint(one, _loss_ml(n)) for n, one in enumerate(hourly)),
        "salinity_g_per_kg": tuple(
            RangePoint(one, believed(25 + 0.08 * _loss_ml(n).p50, 0.5 + n / 900))
            for n, one in enumerate(hourly)
        ),
        "hatched_fraction": tuple(
            RangePoint(one, share(1 / (1 + math.exp(-(n - 30) / 4)), 0.12)) for n, one in enumerate(hourly)
        ),
        "hatch_t50": None,
        "low_mark_at": None,
        "deeds": tuple(
            Event(at_hour(72 * n + 12, began), "top-up", "poured in 24 mL of water")
            for n in range(1, int(days / 3) + 1)
        ),
        "past_alarms": (
            PastAlarm("cold", "the water was too cold", Span(at_hour(5, began), at_hour(9, began))),
        ),
    }
    ended = at_hour(hours, began)
    air = tuple(Point(one, _water_c(n * hours / count) - 5.0) for n, one in enumerate(at))
    return night(
        vessel("tray-a", 24, **{**given, **changed}),
        span=Span(began, ended),
        night=date(ended.year, ended.month, ended.day),
        letters=(),
        room_air=(RoomAir(("tray-a",), air),),
    )


def _water_c(hours: float) -> float:
    return 23.0 + 2.5 * math.sin(hours / 24 * 2 * math.pi) + 0.3 * math.sin(hours * 1.7)


def _lux(hours: float) -> float:
    return 850.0 + 20 * math.sin(hours * 5) if 2 <= hours % 24 < 13 else 3.0


def _loss_ml(hour: int) -> Range:
    loss_ml = 0.35 * (hour % 72) + 3 * math.sin(hour / 150)
    spread = 2 + hour / 200
    return Range(loss_ml - spread, loss_ml, loss_ml + 1.4 * spread)


def two_months() -> NightRecord:
    """60 days from the winter into the summer time of 2027, which began on 28 March."""
    return of_days(60, datetime(2027, 2, 15, 10, tzinfo=ZONE))


def into_summer_time() -> NightRecord:
    """The 24 real hours around 01:00 on 28 March 2027, when Lisbon's clocks went to 02:00."""
    return of_days(1, datetime(2027, 3, 27, 20, tzinfo=ZONE))


def into_winter_time() -> NightRecord:
    """The 24 real hours around 02:00 on 31 October 2027, when Lisbon's clocks went back to 01:00."""
    return of_days(1, datetime(2027, 10, 30, 20, tzinfo=ZONE))


def weekend() -> NightRecord:
    """Three days."""
    return of_days(3, datetime(2027, 1, 15, 16, tzinfo=ZONE))


def a_day() -> NightRecord:
    """A day and a night, a reading a minute or two."""
    return of_days(1, datetime(2027, 1, 15, 20, tzinfo=ZONE))
