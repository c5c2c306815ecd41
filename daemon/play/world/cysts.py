"""The simulated hatch: some hundred cysts, each with its own need of warmth, by a linear degree-hour law."""

from bisect import bisect_right
from dataclasses import dataclass

from daemon.play.story_values import keyed
from daemon.play.world.random_draws import RandomDraws
from daemon.seconds import HOUR_S

_BEST_C, _STOP_C, _DEAD_C = 30.0, 34.0, 40.0
_LIGHT_LUX, _LIGHT_S = 300.0, 600.0  # ten minutes of light have been enough (Sorgeloos & Persoone 1975) [R]
_PLAIN_G_PER_KG, _PER_G_PER_KG = 30.0, 0.012  # saltier is slower: +0.18 h in 12–15 h per g/kg (handbook) [C]
_BREAKS_AT = 0.92  # share of the way at which a cyst breaks and the animal hangs as an umbrella
_LEAST_SEEN = 4  # swimmers among the simulated cysts that a person at the cup notices


@dataclass(frozen=True, slots=True)
class CystPhysics:
    """What the lot is truly like. By default first swimmers come after 25 h at 20 °C, 17 h at 24 °C."""

    cysts: float = keyed(400.0, 20, 5000)
    base_c: float = keyed(11.5, 5, 16)
    degree_hours: float = keyed(250.0, 50, 1000)
    scatter_degree_hours: float = keyed(36.0, 1, 200)
    hatchable: float = keyed(0.80, 0.02, 1)
    stuck_umbrella: float = keyed(0.02, 0, 0.5)
    needs_light: float = keyed(0.3, 0, 1)
    cysts_per_g: float = keyed(260_000.0, 50_000, 400_000)


@dataclass(frozen=True, slots=True)
class Census:
    """The simulated cysts of a cup, counted: all of them, those that can hatch, and where they stand."""

    cysts: int
    hatchable: int
    swimmers: int
    umbrellas: int

    @property
    def hatched_fraction(self) -> float:
        """Share of the hatchable cysts that has hatched."""
        return self.swimmers / self.hatchable if self.hatchable else 0.0

    @property
    def seen(self) -> bool:
        """Whether a person at the cup notices swimmers."""
        return self.swimmers >= min(_LEAST_SEEN, self.hatchable) and self.swimmers > 0


def warmth_per_h(water_c: float, base_c: float) -> float:
    """Degree-hours gained in an hour: linear above the base, falling from 30 °C to nothing at 34 °C."""
    if water_c <= base_c or water_c >= _STOP_C:
        return 0.0
    if water_c <= _BEST_C:
        return water_c - base_c
    return (_BEST_C - base_c) * (_STOP_C - water_c) / (_STOP_C - _BEST_C)


class Brood:
    """The cysts of one batch, from the moment they are wet."""

    def __init__(self, physics: CystPhysics, draws: RandomDraws, *, lit_at_set: bool) -> None:
        self._physics = physics
        self._all = round(physics.cysts)
        self._needs: tuple[list[float], list[float]] = ([], [])  # ready at once, and waiting for light
        self._stuck: list[float] = []
        self._gained = 0.0
        self._gained_at_light: float | None = 0.0 if lit_at_set else None
        self._light_s = 0.0
        self._draw(draws)

    def _draw(self, draws: RandomDraws) -> None:
        p = self._physics
        for _ in range(self._all):
            z = draws.normal()
            need = max(10.0, p.degree_hours + p.scatter_degree_hours * (z + 0.25 * (z * z - 1)))
            luck, waits = draws.uniform(), draws.uniform() < p.needs_light
            if luck < p.hatchable:
                self._needs[waits].append(need)
            elif luck < p.hatchable + p.stuck_umbrella:
                self._stuck.append(need)
        for needs in (*self._needs, self._stuck):
            needs.sort()

    def step(self, seconds: float, water_c: float, salinity_g_per_kg: float, lux: float) -> None:
        """Let `seconds` pass in water of that warmth and salt, under that light."""
        if self._gained_at_light is None:
            self._light_s += seconds if lux >= _LIGHT_LUX else 0.0
            if self._light_s >= _LIGHT_S:
                self._gained_at_light = self._gained
        if water_c >= _DEAD_C:
            self._kill()
        slower = max(0.5, 1 + _PER_G_PER_KG * (salinity_g_per_kg - _PLAIN_G_PER_KG))
        self._gained += warmth_per_h(water_c, self._physics.base_c) * seconds / HOUR_S / slower

    def _kill(self) -> None:
        for needs, gained in zip(self._needs, self._gains(), strict=True):
            needs[bisect_right(needs, gained) :] = [float("inf")] * (len(needs) - bisect_right(needs, gained))
        self._stuck.clear()

    def _gains(self) -> tuple[float, float]:
        since_light = 0.0 if self._gained_at_light is None else self._gained - self._gained_at_light
        return self._gained, since_light

    def census(self) -> Census:
        """How the cysts stand now."""
        pairs = tuple(zip(self._needs, self._gains(), strict=True))
        swimmers = sum(bisect_right(needs, gained) for needs, gained in pairs)
        broken = sum(bisect_right(needs, gained / _BREAKS_AT) for needs, gained in pairs)
        stuck = bisect_right(self._stuck, self._gained / _BREAKS_AT)
        return Census(self._all, sum(map(len, self._needs)), swimmers, broken - swimmers + stuck)
