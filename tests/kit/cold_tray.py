"""A tray whose water follows a told course, from a Wednesday's midday on."""

from collections.abc import Callable
from datetime import datetime
from itertools import pairwise
from zoneinfo import ZoneInfo

from daemon.config import parse_station
from sensors.reading import Measure, Quality, Reading
from tests.kit.station import post, probe, station_text, vessel

TRAYS = [probe("water"), vessel("tray", "water", cold_c=20.0)]
POST = post(2525, backup_to=["office@school.example"])
TEXT = station_text(*TRAYS, POST, name="Room 7", every_s=300)
STATION = parse_station(TEXT, "station.toml")
LISBON = ZoneInfo("Europe/Lisbon")
MIDDAY = int(datetime(2027, 1, 13, 12, tzinfo=LISBON).timestamp())  # a Wednesday
HOUR = 3600


class Water:
    """A thermometer that follows a told course."""

    id = "water"
    measures = Measure.WATER_C

    def __init__(self, course: Callable[[int], float]) -> None:
        self._course = course

    def read(self, at: int) -> Reading:
        return Reading(at, self.id, self._course(at), Quality.GOOD)

    def close(self) -> None:
        pass


def course(*points: tuple[float, float]) -> Callable[[int], float]:
    """Water that is so warm (°C) at so many hours after midday, and on the way in between."""

    def water_c(at: int) -> float:
        hours = (at - MIDDAY) / HOUR
        for (h0, c0), (h1, c1) in pairwise(points):
            if h0 <= hours < h1:
                return c0 + (c1 - c0) * (hours - h0) / (h1 - h0)
        return points[0][1] if hours < points[0][0] else points[-1][1]

    return water_c


# From half past twelve below the limit of 20 °C, for good.
COLD = course((0.4, 20.6), (0.5, 19.9), (1.0, 17.0))
