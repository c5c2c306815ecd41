"""Probes of the simulated world (driver `rehearsal`): what a real one would say of it, with its faults."""

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

from daemon.play.world.probe_in_air import SUNK_K_PER_W_M2, Fall, bare_c, draught_k, fall
from daemon.play.world.random_draws import RandomDraws
from daemon.play.world.vessel import VesselWorld
from daemon.play.world.world import World
from daemon.station import ProbePlan
from sensors.reading import Measure, Quality, Reading, judged

_HALF_LIGHT_LUX = 400.0  # where a photocell's fraction stands at one half, assumed


class ProbeFault(StrEnum):
    """What a story does to a probe."""

    NONE = "none"
    UNPLUGGED = "unplugged"
    STUCK = "stuck"
    IN_AIR = "in-air"


@dataclass(frozen=True, slots=True)
class Instrument:
    """How a probe errs, in the unit it measures; for `light_lux` noise is a share of the reading.

    `step` is the smallest difference it shows, `crc_share` the share of readings garbled on the wire.
    """

    step: float
    noise: float
    offset: float = 0.0
    crc_share: float = 0.0


# Steps are the devices' own (DS18B20 at 12 bit: 1/16 °C); noise is assumed.
_INSTRUMENTS: dict[Measure, Instrument] = {
    Measure.WATER_C: Instrument(0.0625, 0.02),
    Measure.LIGHT_LUX: Instrument(1.0, 0.02),
    Measure.LIGHT_FRACTION: Instrument(0.001, 0.004),
    Measure.ROOM_C: Instrument(0.01, 0.03),
    Measure.ROOM_RH_PCT: Instrument(0.01, 0.15),
    Measure.FLOAT_LOW: Instrument(1.0, 0.0),
}


def usual_instrument(measures: Measure) -> Instrument:
    """How a probe of that measure errs where nothing is given."""
    return _INSTRUMENTS[measures]


class RehearsalProbe:
    """One probe in the simulated world; `advance` moves the world on and hands it over."""

    def __init__(
        self,
        plan: ProbePlan,
        instrument: Instrument,
        advance: Callable[[int], World],
        vessel_id: str | None,
        seed: int,
    ) -> None:
        self._plan = plan
        self._instrument = instrument
        self._advance = advance
        self._vessel_id = vessel_id
        self._seed = seed
        self._last: float | None = None
        self._fault = ProbeFault.NONE
        self._fell: Fall | None = None

    @property
    def id(self) -> str:
        """The name the station file gives it."""
        return self._plan.id

    @property
    def measures(self) -> Measure:
        """What it measures, with its unit."""
        return self._plan.measures

    def set_fault(self, fault: ProbeFault) -> None:
        """Unplug it, let it stick, hang it into the air, or put it right."""
        self._fault = fault
        self._fell = None
        if fault is ProbeFault.IN_AIR and self.measures is Measure.WATER_C:
            world = self._advance(0)  # an earlier time changes nothing: the world as it is
            draws = RandomDraws(self._seed, f"{self.id} falls {world.now}")
            self._fell = fall(world.now, self._vessel(world).cup.water_c, draws)

    def read(self, at: int) -> Reading:
        """What it says at `at`; the same at the same time, whoever asked before."""
        world = self._advance(at)
        # Drawn anew for each moment, so that a beat left out changes no later reading.
        draws = RandomDraws(self._seed, f"{self.id} {at}")
        if self._fault is ProbeFault.UNPLUGGED:
            return Reading(at, self.id, None, Quality.ABSENT)
        if draws.uniform() < self._instrument.crc_share:
            return Reading(at, self.id, None, Quality.CRC)
        if self._fault is not ProbeFault.STUCK or self._last is None:
            self._last = self._shown(self._true_value(world, at), draws)
        return judged(at, self.id, self.measures, self._last)

    def close(self) -> None:
        """Nothing to let go of."""

    def _shown(self, value: float, draws: RandomDraws) -> float:
        instrument = self._instrument
        noise = instrument.noise * (value if self.measures is Measure.LIGHT_LUX else 1.0)
        wanted = value + instrument.offset + noise * draws.normal()
        shown = round(wanted / instrument.step) * instrument.step
        return shown if self.measures in (Measure.WATER_C, Measure.ROOM_C) else max(0.0, _capped(self, shown))

    def _true_value(self, world: World, at: int) -> float:
        match self.measures:
            case Measure.ROOM_C:
                return world.room.air_c
            case Measure.ROOM_RH_PCT:
                return world.room.rh_pct
        vessel = self._vessel(world)
        match self.measures:
            case Measure.WATER_C:
                return self._felt_c(world, vessel, at)
            case Measure.FLOAT_LOW:
                return float(vessel.cup.loss_ml >= vessel.vessel.low_ml)
            case Measure.LIGHT_FRACTION:
                return vessel.lux / (vessel.lux + _HALF_LIGHT_LUX)
        return vessel.lux

    def _felt_c(self, world: World, vessel: VesselWorld, at: int) -> float:
        if self._fell is None:
            sun_w_m2 = vessel.lately[-1].sun_w_m2 if vessel.lately else 0.0
            return vessel.cup.water_c + SUNK_K_PER_W_M2 * sun_w_m2
        lamp_w_m2 = vessel.physics.cup.lamp_w / (vessel.vessel.surface_cm2 * 1e-4)
        light_w_m2 = [lamp_w_m2 * around.lamp + around.sun_w_m2 for around in vessel.lately]
        draught = draught_k(self._seed, self.id, at, by_day=world.weather.diffuse_w_m2 > 0.0)
        return bare_c(self._fell, at, vessel.lately, light_w_m2) + draught

    def _vessel(self, world: World) -> VesselWorld:
        if self._vessel_id is None:
            raise LookupError(f"{self.id} hangs in no vessel")
        return world.vessels[self._vessel_id]


def _capped(probe: RehearsalProbe, value: float) -> float:
    tops = {Measure.LIGHT_FRACTION: 1.0, Measure.ROOM_RH_PCT: 100.0}
    return min(value, tops.get(probe.measures, value))
