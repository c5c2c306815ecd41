"""When a batch will have hatched how far if it is set at one moment or another, by water to come.

The coming water is worked out once, and every set time takes its part of it.
"""

from array import array
from collections.abc import Iterator, Sequence
from functools import cached_property
from itertools import pairwise

from daemon.estimates.hatch.dose_ahead import DoseAhead, Table, dose_table, weight_below
from daemon.estimates.hatch.grid import MARGINS, PATHS, HatchGrid, Start
from daemon.estimates.horizons import HATCH_HORIZON_S
from daemon.estimates.quantile import SHARES, Estimate, of_cdf, ordered
from daemon.estimates.warmth.belief import WarmthCourse
from daemon.seconds import MINUTE_S

Span = tuple[int, int]
HALF = 0.5
# At these shares it is looked at how far a hatch is; between them straight.
_PICTURED = (0.01, 0.05, 0.1, 0.2, 0.35, 0.5, 0.65, 0.8, 0.9, 0.95, 0.99)
_Doses = list[
    "array[float]"
]  # thousands of moments are looked at: as lists they would take five times as much


class PlannedHatch:
    """A lot as it is believed to be before it is set, and the ways the water may go from `began` on."""

    def __init__(self, start: Start, courses: Sequence[WarmthCourse], began: int, delay: float) -> None:
        """`began` (Unix s) is on the hour; `delay` is by how much the brine stretches hatching times."""
        self._began = began
        self._ahead = DoseAhead(courses, began, delay)
        weight, _ = HatchGrid().believed(start)
        self._rows = list(self._distinct(weight))
        self._tables: dict[float, list[Table]] = {}
        self._moments: dict[int, _Doses] = {}

    def _distinct(self, weight: Sequence[list[float]]) -> Iterator[tuple[int, list[float]]]:
        """Paths with their weights; those that will go alike are one."""
        for path in range(0, len(PATHS), len(MARGINS)):
            some = range(path, path + len(MARGINS))
            if self._ahead.not_known:
                yield from ((p, weight[p]) for p in some)
            else:
                yield path, [sum(column) for column in zip(*(weight[p] for p in some), strict=True)]

    @cached_property
    def _course_weights(self) -> list[float]:
        return [weight for weight, _, _ in self._ahead.ways(self._rows[0][0])]

    def _tables_of(self, share: float) -> list[Table]:
        if share not in self._tables:
            self._tables[share] = [dose_table(share, row) for _, row in self._rows]
        return self._tables[share]

    def _doses(self, at: int) -> _Doses:
        """What has come since the beginning, by path and course."""
        if at not in self._moments:
            self._moments[at] = [
                array("d", (dose for _, dose in self._ahead.doses(path, at))) for path, _ in self._rows
            ]
        return self._moments[at]

    def chance_by(self, share: float, set_at: int, at: int) -> float:
        """How likely it is that `share` of the hatchable has hatched by a moment, if set at another."""
        found = 0.0
        rows = zip(self._tables_of(share), self._doses(set_at), self._doses(at), strict=True)
        for table, before, now in rows:
            for weight, b, n in zip(self._course_weights, before, now, strict=True):
                found += weight * weight_below(table, n - b)
        return found

    def chance_within(self, lesson: Span, *set_at: int) -> float:
        """How likely it is that half of one batch or more falls in a lesson, if set at these moments.

        The batches are of one lot and stand side by side: what holds of one holds of all.
        """
        found = 0.0
        begins, ends = (self._doses(moment) for moment in lesson)
        sets = [self._doses(moment) for moment in set_at]
        for row, table in enumerate(self._tables_of(HALF)):
            for course, weight in enumerate(self._course_weights):
                low, high = begins[row][course], ends[row][course]
                spans = sorted((low - s[row][course], high - s[row][course]) for s in sets)
                for (began, ended), after in pairwise([*spans, (float("inf"), 0.0)]):
                    upto = min(ended, after[0])
                    found += weight * (weight_below(table, upto) - weight_below(table, began))
        return found

    def time_of(self, share: float, set_at: int) -> Estimate:
        """When `share` of the hatchable has hatched if set then, Unix s; at most 30 days later."""

        def reached(t: float) -> float:
            return self.chance_by(share, set_at, int(t))

        return of_cdf(reached, float(set_at), float(set_at + HATCH_HORIZON_S), MINUTE_S)

    def under_way(self, lesson: Span, set_at: int) -> float:
        """How likely it is that in a lesson hatching is under way: from a tenth to nine tenths."""
        begun = self.chance_by(0.1, set_at, lesson[1])
        over = self.chance_by(0.9, set_at, lesson[0])
        return min(1.0, max(0.0, begun - over))

    def share_at(self, set_at: int, at: int) -> Estimate:
        """The share of the hatchable that will have hatched by a moment, if set at another."""
        chances = [self.chance_by(share, set_at, at) for share in _PICTURED]
        return ordered(*(_share_where(chances, 1.0 - below) for below in SHARES))


def beyond(set_at: int, at: float) -> bool:
    """Whether a moment of `time_of` is only where the calculation ends: later than that, or never."""
    return at > set_at + HATCH_HORIZON_S - 2 * MINUTE_S


def _share_where(chances: Sequence[float], wanted: float) -> float:
    """The share that is reached with the wanted chance; chances fall as shares rise."""
    known = [(0.0, 1.0), *zip(_PICTURED, chances, strict=True), (1.0, 0.0)]
    for (low, more), (high, less) in pairwise(known):
        if less < wanted <= more:
            return low + (high - low) * (more - wanted) / (more - less)
    return 0.0
