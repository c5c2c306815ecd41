"""The simulated world of a story: sky, room and vessels, moved on together in steps of a minute."""

from collections.abc import Iterable, Mapping
from datetime import datetime, timedelta

from daemon.play.world.cup import CupPhysics, CupSurroundings
from daemon.play.world.room import Room, RoomPhysics, RoomUse
from daemon.play.world.sky import GLASS_PASSES, Sky, SkyPhysics
from daemon.play.world.vessel import STEP_S, VesselPhysics, VesselWorld
from daemon.seconds import HOUR_S
from daemon.station import DailyHours, Station

_SETTLING_S = 48 * HOUR_S  # the walls find their warmth before the story begins
_WINDOW_M_S = 0.25  # draught at the cups when a window stands open, assumed


class World:
    """Everything physical. `now` is the minute reached; it never goes back.

    Switches that a story throws: `heating_works`, `window_open`, `fan_on`, the sky's `overcast`, and each
    vessel's `lamp_works` and `lamp_stays_on`.
    """

    def __init__(
        self,
        station: Station,
        sky: SkyPhysics,
        room: RoomPhysics,
        vessels: Mapping[str, VesselPhysics],
        *,
        seed: int,
        begins: int,
    ) -> None:
        self._station = station
        self.sky = Sky(sky, seed)
        self.now = (begins - _SETTLING_S) // STEP_S * STEP_S
        self.room = Room(room, sky.outdoor_c, sky.outdoor_rh_pct, room.setback_c)
        self.vessels = {v.id: VesselWorld(v, vessels[v.id], seed) for v in station.vessels}
        self.heating_works = True
        self.window_open = self.fan_on = False
        self.weather = self.sky.weather(self.now)
        while self.now < begins // STEP_S * STEP_S:
            self._step()
        self.remember()

    def advance(self, at: int) -> None:
        """Let time pass up to the last whole minute not after `at`; an earlier time changes nothing."""
        while self.now + STEP_S <= at:
            self._step()
            self.remember()

    def _step(self) -> None:
        local = datetime.fromtimestamp(self.now, self._station.timezone)
        there = attended(self._station, local)
        self.sky.step(STEP_S)
        self.weather = self.sky.weather(self.now)
        self.room.step(STEP_S, self.weather, self._use(local, there))
        for vessel in self.vessels.values():
            due = within(vessel.vessel.lamp, local)
            lamp = float(vessel.lamp_stays_on or (vessel.lamp_works and due))
            place = vessel.physics.cup
            vessel.step(self.now, self._around(place, lamp), self._lux(place, lamp, there))
        self.now += STEP_S

    def remember(self) -> None:
        """Keep how every vessel stands now."""
        for vessel in self.vessels.values():
            vessel.remember(self.now)

    def _use(self, local: datetime, there: bool) -> RoomUse:
        wanted_c = self._wanted_c(local, there) if self.heating_works else None
        moisture_g_s = sum(v.vessel.count * v.cup.evaporation_g_s for v in self.vessels.values())
        return RoomUse(wanted_c, there, self.window_open, moisture_g_s / 1000)

    def _wanted_c(self, local: datetime, there: bool) -> float:
        p = self.room.physics
        ahead = (local + timedelta(hours=p.warm_up_h * share) for share in (0.5, 1.0))
        warm = there or not self._station.attended or any(attended(self._station, moment) for moment in ahead)
        return p.day_c if warm else p.setback_c

    def _around(self, place: CupPhysics, lamp: float) -> CupSurroundings:
        p = self.room.physics
        draught = p.fan_m_s if self.fan_on else p.draught_m_s
        draught = max(draught, _WINDOW_M_S) if self.window_open else draught
        sun_w_m2 = place.sun_share * self.weather.window_beam_w_m2 * GLASS_PASSES
        air_c = self.room.air_c + place.sill_k_per_100_w_m2 * sun_w_m2 / 100
        return CupSurroundings(air_c, self.room.vapour, draught, lamp, sun_w_m2)

    def _lux(self, place: CupPhysics, lamp: float, there: bool) -> float:
        ceiling = self.room.physics.ceiling_lux if there else 0.0
        sun = place.sun_share * self.weather.beam_lux * GLASS_PASSES
        return ceiling + place.daylight_pct / 100 * self.weather.diffuse_lux + sun + place.lamp_lux * lamp


def within(hours: Iterable[DailyHours], local: datetime) -> bool:
    """Whether a local time lies in one of the daily hours, also past midnight."""
    now = local.time()
    for span in hours:
        if span.begins < span.ends:
            if span.begins <= now < span.ends:
                return True
        elif now >= span.begins or now < span.ends:
            return True
    return False


def attended(station: Station, local: datetime) -> bool:
    """Whether someone is in the room: in the weekly hours, on a day that is not away."""
    day = local.date()
    if any(span.first <= day <= span.last for span in station.away):
        return False
    return any(_in_week(week.weekdays, week.hours, local) for week in station.attended)


def _in_week(weekdays: frozenset[int], hours: DailyHours, local: datetime) -> bool:
    now = local.time()
    if hours.begins < hours.ends:
        return local.weekday() in weekdays and hours.begins <= now < hours.ends
    if now >= hours.begins:
        return local.weekday() in weekdays
    return (local - timedelta(days=1)).weekday() in weekdays and now < hours.ends
