"""What an open vessel loses at k = 1, with or without a measured room; and the record of it."""

from bisect import bisect_right
from collections.abc import Callable
from math import inf

from daemon.estimates.water.grid import VAPOUR_PA, VAPOURS
from daemon.science.air import vapour_pressure_pa
from daemon.science.evaporation import loss_ml_per_h, shah_at_vapour_pressures
from daemon.seconds import HOUR_S

ROOM_OVER_WATER_K, ROOM_MOST_C = 1.0, 22.0  # of a room that is not measured; see `water`


def open_ml_per_h(
    surface_cm2: float, activity: float, water_c: float, room_c: float | None, room_rh_pct: float | None
) -> list[float]:
    """mL an hour at k = 1, by vapour node; all nodes alike where the room's humidity is measured."""
    water_c = min(60.0, max(-5.0, water_c))
    guessed_c = min(water_c + ROOM_OVER_WATER_K, ROOM_MOST_C)
    air_c = min(60.0, max(-20.0, guessed_c if room_c is None else room_c))
    vapours = VAPOUR_PA if room_rh_pct is None else (vapour_pressure_pa(air_c, room_rh_pct),)
    rates = shah_at_vapour_pressures(water_c, air_c, vapours, activity)
    ml = [loss_ml_per_h(rate, surface_cm2, water_c) for rate in rates]
    return ml if room_rh_pct is None else ml * VAPOURS


class LossPath:
    """How much had evaporated when, hour by hour, since water was last added or taken."""

    def __init__(self) -> None:
        self._steps: list[tuple[int, float]] = []
        self._total = 0.0

    def copy(self) -> "LossPath":
        """A copy that goes its own way."""
        twin = LossPath()
        twin._steps, twin._total = list(self._steps), self._total
        return twin

    def restart(self, at: int) -> None:
        """Water was added or taken: what was before is no longer asked for."""
        self._steps = [(at, self._total)]

    def add(self, ended: int, ml: float) -> None:
        """So much more up to a moment."""
        self._total += ml
        if self._steps and ended - self._steps[-1][0] >= HOUR_S:
            self._steps.append((ended, self._total))

    def back(self, now: int, ml_per_day: float) -> Callable[[float], float]:
        """A function that tells the time between a past moment and `now` in days of evaporation."""
        path = [*self._steps, (now, self._total)]

        def days(t: float) -> float:
            if ml_per_day <= 0.0:
                return 0.0
            place = min(len(path) - 1, max(1, bisect_right(path, (t, inf))))
            (began, low), (ended, high) = path[place - 1], path[place]
            share = (t - began) / (ended - began) if ended > began else 1.0
            return (path[-1][1] - low - share * (high - low)) / ml_per_day

        return days
