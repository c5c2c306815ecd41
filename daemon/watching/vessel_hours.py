"""A vessel's local calendar as beliefs take it, and which other vessel stands under the same lamp hours."""

from datetime import date, datetime, time, timedelta
from functools import cache

from daemon.estimates.local_hour import LocalHour
from daemon.estimates.timeline.timeline import NEIGHBOUR
from daemon.hours import attended_spans, in_daily_hours, moment, unchanged_hours
from daemon.seconds import HOUR_S
from daemon.station import Station, Vessel
from sensors.reading import Measure

_DAYS_KEPT = 64
_HOURS_KEPT = 384
_MIDNIGHT = time(0)

_Told = tuple[int, int, LocalHour]  # since, until (Unix s), what holds in between
_local_hour = cache(LocalHour)  # there are 96


class VesselHours:
    """A vessel's hours at its station."""

    def __init__(self, station: Station, vessel: Vessel) -> None:
        self._station = station
        self._lamp = vessel.lamp
        self._school: dict[date, bool] = {}
        self._last: _Told = (0, 0, LocalHour(0, False, False))
        self._told: dict[int, _Told] = {}  # by UTC hour, of two that it holds the one asked for last

    def local(self, at: int) -> LocalHour:
        """A moment (Unix s) by the station's clock."""
        since, until, told = self._last
        if since <= at < until:
            return told
        found = self._told.get(at // HOUR_S)
        self._last = found if found and found[0] <= at < found[1] else self._worked_out(at)
        return self._last[2]

    def _worked_out(self, at: int) -> _Told:
        """What holds at a moment; kept, as a forecast asks for the same days every hour."""
        zone = self._station.timezone
        moment_local = datetime.fromtimestamp(at, zone)
        due = any(in_daily_hours(hours, at, zone) for hours in self._lamp)
        told = _local_hour(moment_local.hour, self._school_day(moment_local.date()), due)
        found = (*self._holds(at, moment_local), told)
        if found[1] - found[0] > 1:
            if len(self._told) >= _HOURS_KEPT:
                self._told.clear()
            self._told[at // HOUR_S] = found
        return found

    def _holds(self, at: int, local: datetime) -> tuple[int, int]:
        """Since and until when the clock's hour and the lamp are as at `at`; hours in which the clock is
        moved are not told apart, and hold for that second alone.
        """
        zone, offset = self._station.timezone, local.utcoffset()
        since = at - 60 * local.minute - local.second
        until = since + HOUR_S
        if any(datetime.fromtimestamp(t, zone).utcoffset() != offset for t in (since, until - 1)):
            return at, at + 1
        for hours in self._lamp:
            began, ended = unchanged_hours(hours, at, zone)
            since, until = max(since, began), min(until, ended)
        return since, until

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


def fed_with(station: Station, vessel: Vessel) -> dict[str, str]:
    """By probe, what its readings are to the belief about a vessel: its own measures, a neighbour's water."""
    measures = {plan.id: plan.measures.value for plan in station.probes if plan.id in vessel.probes}
    neighbour = neighbour_probe(station, vessel)
    return measures if neighbour is None else {**measures, neighbour: NEIGHBOUR}
