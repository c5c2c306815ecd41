"""A vessel's local calendar as beliefs take it, and which other vessel stands under the same lamp hours."""

from datetime import date, datetime, time, timedelta

from daemon.estimates.local_hour import LocalHour
from daemon.hours import attended_spans, in_daily_hours, moment
from daemon.station import Station, Vessel
from sensors.reading import Measure

_DAYS_KEPT = 64
_MIDNIGHT = time(0)


class VesselHours:
    """A vessel's hours at its station."""

    def __init__(self, station: Station, vessel: Vessel) -> None:
        self._station = station
        self._lamp = vessel.lamp
        self._school: dict[date, bool] = {}

    def local(self, at: int) -> LocalHour:
        """A moment (Unix s) by the station's clock."""
        zone = self._station.timezone
        moment_local = datetime.fromtimestamp(at, zone)
        due = any(in_daily_hours(hours, at, zone) for hours in self._lamp)
        return LocalHour(moment_local.hour, self._school_day(moment_local.date()), due)

    def _school_day(self, day: date) -> bool:
        known = self._school.get(day)
        if known is None:
            if len(self._school) >= _DAYS_KEPT:
                self._school.clear()
            zone = self._station.timezone
            midnights = (moment(d, _MIDNIGHT, zone) for d in (day, day + timedelta(days=1)))
            known = self._school[day] = bool(attended_spans(self._station, *midnights))
        return known


def neighbour_probe(station: Station, vessel: Vessel) -> str | None:
    """The water probe of the first other vessel with the same lamp hours, or None."""
    own = station.probe_of(vessel, Measure.WATER_C)
    for other in station.vessels:
        probe = station.probe_of(other, Measure.WATER_C)
        if other.lamp == vessel.lamp and probe is not None and probe.id not in vessel.probes and probe != own:
            return probe.id
    return None
