"""A vessel of the simulated room: its cup and cysts, and the memory of how it stood each minute."""

from bisect import bisect_right
from collections import deque
from dataclasses import dataclass

from daemon.play.world.cup import Cup, CupPhysics, CupSurroundings
from daemon.play.world.cysts import Brood, Census, CystPhysics
from daemon.play.world.random_draws import RandomDraws
from daemon.station import Vessel

STEP_S = 60
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
        draws = RandomDraws(seed, f"evaporation {vessel.id}")
        self.cup = Cup(physics.cup, vessel.surface_cm2, brim_at_ml, vessel.mark_ml, draws)
        self.lamp_works, self.lamp_stays_on = True, False
        self.lux = 0.0
        # What surrounded it in the last minutes, the newest last: a bare probe follows it with its own lag.
        self.lately: deque[CupSurroundings] = deque(maxlen=_LATELY_MIN)
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
        draws = RandomDraws(self._seed, f"cysts {self.vessel.id} {self._batches}")
        self._brood = Brood(self.physics.cysts, draws, lit_at_set=light)
        self._set_at, self._hatched_at = at, {}

    def end_batch(self) -> None:
        """Stop counting; the batch's outcome stays."""
        self._brood = None

    @property
    def census(self) -> Census | None:
        """The simulated cysts counted, None where no batch runs."""
        return self._brood.census() if self._brood else None

    def step(self, at: int, around: CupSurroundings, lux: float) -> None:
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
