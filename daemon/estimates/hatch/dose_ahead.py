"""The dose that coming water brings, and when it is enough for how many lots."""

from array import array
from bisect import bisect_right
from collections.abc import Sequence
from functools import cache
from itertools import accumulate

from daemon.estimates.hatch.grid import MARGINS, PATHS, densities_for, edges_for
from daemon.estimates.warmth.belief import WarmthCourse
from daemon.science.hatching import NOT_KNOWN_ABOVE_C, NOT_KNOWN_BELOW_C, pace_range
from daemon.seconds import HOUR_S

LEAST_C, MOST_C, STEPS_PER_C = -5.0, 60.0, 20

Table = tuple[list[float], list[float]]  # doses, and how much weight lies up to each
Way = tuple[float, "array[float]", float]


class DoseAhead:
    """The dose that the coming days bring, by path, in each of the courses they may go."""

    def __init__(self, courses: Sequence[WarmthCourse], at: int, delay: float) -> None:
        total = sum(course.weight for course in courses)
        self._weights = [course.weight / total for course in courses]
        self._hours = [[_step(water_c) for water_c in course.hourly_c] for course in courses]
        self._began, self._at, self._delay = at // HOUR_S * HOUR_S, at, delay
        self._ways: dict[int, list[Way]] = {}
        self.not_known = any(
            min(course.hourly_c) < NOT_KNOWN_BELOW_C or max(course.hourly_c) > NOT_KNOWN_ABOVE_C
            for course in courses
        )

    def ways(self, path: int) -> list[Way]:
        """A path's courses: weight, hours as if at 25 °C up to each clock hour, and of them those past."""
        if path not in self._ways:
            gains = _gains(path)
            _, whole, part = self.place(self._at)
            found = self._ways[path] = []
            for weight, hours in zip(self._weights, self._hours, strict=True):
                sums = array("d", accumulate((gains[step] / self._delay for step in hours), initial=0.0))
                found.append((weight, sums, sums[whole] + part * (sums[whole + 1] - sums[whole])))
        return self._ways[path]

    def doses(self, path: int, t: float) -> list[tuple[float, float]]:
        """What comes up to a moment (Unix s) by a path: a course's weight, and hours as if at 25 °C."""
        rounds, whole, part = self.place(t)
        return [
            (weight, rounds * sums[-1] + sums[whole] + part * (sums[whole + 1] - sums[whole]) - gone)
            for weight, sums, gone in self.ways(path)
        ]

    def place(self, t: float) -> tuple[float, int, float]:
        """Where a moment lies in the courses: how many times round, the hour, and how much of it."""
        rounds, hours = divmod((t - self._began) / HOUR_S, len(self._hours[0]))
        return rounds, int(hours), hours - int(hours)


def _step(water_c: float) -> int:
    return round((min(MOST_C, max(LEAST_C, water_c)) - LEAST_C) * STEPS_PER_C)


@cache
def _gains(path: int) -> Sequence[float]:
    """The dose of an hour by a path, for temperatures in steps of 0.05 °C."""
    slope, margin = PATHS[path]
    place = MARGINS.index(margin)
    steps = range(round((MOST_C - LEAST_C) * STEPS_PER_C) + 1)
    return array("d", (pace_range(LEAST_C + step / STEPS_PER_C)[place] ** slope for step in steps))


def dose_table(share: float, row: list[float]) -> Table:
    """Doses at which `share` is reached, and how much weight lies up to each; straight between them."""
    doses, sums, last, thick, total = [], [], 0.0, 0.0, 0.0
    dense = [weight * density for weight, density in zip(row, densities_for(share), strict=True)]
    for dose, below, above in edges_for(share):
        total += thick * (dose - last)
        thick += (dense[above] if above is not None else 0.0) - (dense[below] if below is not None else 0.0)
        doses.append(dose)
        sums.append(total)
        last = dose
    return doses, sums


def weight_below(table: Table, dose: float) -> float:
    """The weight of the nodes whose share is reached at `dose`, straight between them."""
    doses, sums = table
    place = bisect_right(doses, dose)
    if place == 0:
        return 0.0
    if place == len(doses):
        return sums[-1]
    part = (dose - doses[place - 1]) / (doses[place] - doses[place - 1])
    return sums[place - 1] + part * (sums[place] - sums[place - 1])
