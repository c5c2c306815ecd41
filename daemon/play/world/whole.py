"""The simulated world of a story: sky, room and vessels, moved on together in steps of a minute."""

from bisect import bisect_right
from collections import deque
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from daemon.play.world.chance import Chance
from daemon.play.world.cup import Around, Cup, CupPhysics
from daemon.play.world.cysts import Brood, Census, CystPhysics
from daemon.play.world.hours import attended, within
from daemon.play.world.room import Room, RoomPhysics, RoomUse
from daemon.play.world.sky import GLASS_PASSES, Sky, SkyPhysics
from daemon.seconds import HOUR_S
from daemon.station import Station, Vessel

STEP_S = 60
_SETTLING_S = 48 * HOUR_S  # the walls find their warmth before the story begins
_WINDOW_M_S = 0.25  # draught at the cups when a window stands open, assumed
_REMEMBERED = 61 * 1440  # minutes: longer than any story, but not the years a station may run
_FORGOTTEN_AT_ONCE = 1440
_LATELY_MIN = 20
_SHARES = (0.1, 0.5, 0.9)


@dataclass(frozen=True, slots=True)
class VesselPhysics:
    """What a vessel, its place and its lot are truly like."""

    cup: CupPhysics
    cysts: CystPhysics


@dataclass(frozen=True, slots=True)
class Truth:
    """How a vessel truly stands; `hatched_fraction` is of the hatchable, None where no batch runs."""

    at: int
    loss_ml: float
    salinity_g_per_kg: float
    water_c: float
    hatched_fraction: float | None


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a vessel's latest batch truly did; None for what has not come (yet).

    `low_mark_passed` holds every moment at which the water fell to the low mark.
    """

    set_at: int | None
    hatch_t10: int | None
    hatch_t50: int | None
    hatch_t90: int | None
    low_mark_passed: tuple[int, ...]


class VesselWorld:
    """One vessel in the world, with the memory of how it stood each minute."""

    def __init__(self, vessel: Vessel, physics: VesselPhysics, seed: int) -> None:
        self.vessel = vessel
        self.physics = physics
        brim_at_ml = vessel.mark_ml + vessel.brim_ml
        chance = Chance(seed, f"evaporation {vessel.id}")
        self.cup = Cup(physics.cup, vessel.surface_cm2, brim_at_ml, vessel.mark_ml, chance)
        self.lamp_works, self.lamp_stays_on = True, False
        self.lux = 0.0
        # What surrounded it in the last minutes, the newest last: a bare probe follows it with its own lag.
        self.lately: deque[Around] = deque(maxlen=_LATELY_MIN)
        self.cysts_set = 0.0
        self._seed = seed
        self._batches = 0
        self._brood: Brood | None = None
        self._set_at: int | None = None
        self._hatched_at: dict[float, int] = {}
        self._low_passed: list[int] = []
        self._past: list[Truth] = []

    def set_cysts(self, at: int, grams: float, *, light: bool) -> None:
        """Wet the cysts of a new batch."""
        self.cysts_set = grams * self.physics.cysts.cysts_per_g
        self._batches += 1
        chance = Chance(self._seed, f"cysts {self.vessel.id} {self._batches}")
        self._brood = Brood(self.physics.cysts, chance, lit_at_set=light)
        self._set_at, self._hatched_at = at, {}

    def end_batch(self) -> None:
        """Stop counting; the batch's outcome stays."""
        self._brood = None

    @property
    def census(self) -> Census | None:
        """The simulated cysts counted, None where no batch runs."""
        return self._brood.census() if self._brood else None

    def step(self, at: int, around: Around, lux: float) -> None:
        """Let the minute that begins at `at` pass."""
        before_ml = self.cup.loss_ml
        self.lux = lux
        self.lately.append(around)
        self.cup.step(STEP_S, around)
        if self._brood is not None:
            self._brood.step(STEP_S, self.cup.water_c, self.cup.salinity_g_per_kg, lux)
        if before_ml < self.vessel.low_ml <= self.cup.loss_ml and self._brood is not None:
            self._low_passed.append(at + STEP_S)

    def remember(self, at: int) -> None:
        """Keep how it stands at `at`, also when somebody has changed it within the minute."""
        if self._past and self._past[-1].at == at:
            self._past.pop()
        if len(self._past) > _REMEMBERED:
            del self._past[:_FORGOTTEN_AT_ONCE]
        census = self.census
        fraction = census.hatched_fraction if census else None
        for share in _SHARES if fraction is not None else ():
            if fraction is not None and fraction >= share:
                self._hatched_at.setdefault(share, at)
        cup = self.cup
        self._past.append(Truth(at, cup.loss_ml, cup.salinity_g_per_kg, cup.water_c, fraction))

    def truth(self, at: int) -> Truth:
        """How it stood at the last whole minute up to `at`. Raises ValueError for what is not remembered."""
        place = bisect_right(self._past, at, key=lambda truth: truth.at)
        if not place:
            raise ValueError(f"{at}: the world remembers from {self._past[0].at} on")
        return self._past[place - 1]

    def outcome(self) -> Outcome:
        """What the latest batch has done so far."""
        t10, t50, t90 = (self._hatched_at.get(share) for share in _SHARES)
        return Outcome(self._set_at, t10, t50, t90, tuple(self._low_passed))


class World:
    """Everything physical. `now` is the minute reached; it never goes back.

    Switches that a story throws: `heating_works`, `window_open`, `fan_on`, and each vessel's `lamp_works`
    and `lamp_stays_on`.
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
        self._sky = Sky(sky, seed)
        self.now = (begins - _SETTLING_S) // STEP_S * STEP_S
        self.room = Room(room, sky.outdoor_c, sky.outdoor_rh_pct, room.setback_c)
        self.vessels = {v.id: VesselWorld(v, vessels[v.id], seed) for v in station.vessels}
        self.heating_works = True
        self.window_open = self.fan_on = False
        self.weather = self._sky.weather(self.now)
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
        self._sky.step(STEP_S)
        self.weather = self._sky.weather(self.now)
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

    def _around(self, place: CupPhysics, lamp: float) -> Around:
        p = self.room.physics
        draught = p.fan_m_s if self.fan_on else p.draught_m_s
        draught = max(draught, _WINDOW_M_S) if self.window_open else draught
        sun_w_m2 = place.sun_share * self.weather.window_beam_w_m2 * GLASS_PASSES
        air_c = self.room.air_c + place.sill_k_per_100_w_m2 * sun_w_m2 / 100
        return Around(air_c, self.room.vapour, draught, lamp, sun_w_m2)

    def _lux(self, place: CupPhysics, lamp: float, there: bool) -> float:
        ceiling = self.room.physics.ceiling_lux if there else 0.0
        sun = place.sun_share * self.weather.beam_lux * GLASS_PASSES
        return ceiling + place.daylight_pct / 100 * self.weather.diffuse_lux + sun + place.lamp_lux * lamp
