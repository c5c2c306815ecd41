"""When a hatch will be how far: the record of its dose so far, and what the coming water adds."""

from bisect import bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import inf

from daemon.estimates.hatch.dose_ahead import DoseAhead, Table, dose_table, weight_below
from daemon.estimates.hatch.grid import MARGINS, PATHS, SWANSON, nodes
from daemon.estimates.hatch.hatchable_share import Shares, estimate
from daemon.estimates.hatch.hatchable_share import shares as all_shares
from daemon.estimates.horizons import HATCH_HORIZON_S
from daemon.estimates.quantile import Estimate, of_cdf, of_points
from daemon.estimates.warmth.belief import WarmthCourse
from daemon.science.hatching import hatched_share
from daemon.science.stages import instar_ii_after_dose_h
from daemon.seconds import HOUR_S, MINUTE_S

# Instar II comes "about 8 h" after hatching at 25–28 °C [M]: a quarter earlier or later [P].
INSTAR_II_DOSE_H = instar_ii_after_dose_h()
INSTAR_II_MARGIN = 0.25

Need = tuple[float, float]  # a weight, and hours as if at 25 °C beyond those of the share


@dataclass(frozen=True, slots=True)
class DoseRecord:
    """The dose of every path by time since the batch was set, and up to now; the brine's delay.

    `over` where heat has killed what had not hatched by now.
    """

    history: tuple[tuple[int, tuple[float, ...]], ...]
    doses: tuple[float, ...]
    delay: float
    over: bool = False


class HatchOutlook:
    """When shares of the hatchable cysts have hatched or will have, seen from one moment."""

    def __init__(
        self,
        record: DoseRecord,
        weight: list[list[float]],
        shares: Shares,
        at: int,
        courses: Sequence[WarmthCourse],
    ) -> None:
        self._at, self._doses_now, self._shares, self._over = at, record.doses, shares, record.over
        self._times = [t for t, _ in record.history] + [at]
        self._steps = [doses for _, doses in record.history] + [record.doses]
        self._weight = weight
        self._ahead = DoseAhead(courses, at, inf if record.over else record.delay)
        self._paths: list[tuple[int, list[float]]] | None = None
        self._tables: dict[float, list[tuple[int, Table]]] = {}
        self._instar_ii: Estimate | None = None

    def hatched_fraction(self) -> Estimate:
        """The share of the hatchable cysts that has hatched."""
        points: dict[float, list[float]] = {}
        for dose, row in zip(self._doses_now, self._weight, strict=True):
            same = points.get(dose)
            points[dose] = list(row) if same is None else [a + b for a, b in zip(same, row, strict=True)]
        return of_points(
            (hatched_share(dose, t50, synchrony), weight)
            for dose, row in points.items()
            for (t50, synchrony), weight in zip(nodes(), row, strict=True)
            if weight > 1e-7
        )

    def hatched_fraction_at(self, t: float) -> Estimate:
        """The share of the hatchable cysts that will have hatched at a moment to come, Unix s."""
        return of_points(
            (hatched_share(dose, t50, synchrony), weight * course_weight)
            for path, row in self._rows()
            for course_weight, dose in self._doses(path, t)
            for (t50, synchrony), weight in zip(nodes(), row, strict=True)
            if weight > 1e-7
        )

    def knowns(self) -> dict[str, Estimate]:
        """The lot's T50 at 25 °C, h, and its synchrony."""
        total = [sum(column) for column in zip(*self._weight, strict=True)]
        t50s, synchronies = zip(*nodes(), strict=True)
        return {
            "t50_h_at_25_c": of_points(zip(t50s, total, strict=True)),
            "synchrony": of_points(zip(synchronies, total, strict=True)),
        }

    def hatchable_share(self) -> Estimate:
        """The share of all cysts that will hatch at all; what has, where heat has killed the rest."""
        if not self._over:
            return estimate(self._shares)
        out = self.hatched_fraction()
        parts = zip((out.p10, out.p50, out.p90), SWANSON, strict=True)
        return of_points(
            (h * share, w * v) for share, v in parts for h, w in zip(all_shares(), self._shares, strict=True)
        )

    def time_of(self, share: float) -> Estimate:
        """When `share` of the hatchable cysts has hatched, Unix s; at most 30 days ahead."""
        return self._when(share, [(1.0, 0.0)])

    def instar_ii_at(self) -> Estimate:
        """When half of the hatchable reach instar II, the first that feeds."""
        if self._instar_ii is None:
            margins = (1.0 - INSTAR_II_MARGIN, 1.0, 1.0 + INSTAR_II_MARGIN)
            later = [(w, INSTAR_II_DOSE_H * m) for w, m in zip(SWANSON, margins, strict=True)]
            self._instar_ii = self._when(0.5, later)
        return self._instar_ii

    def harvest_opens_at(self) -> Estimate:
        """When a cone may be drawn: nine in ten have hatched."""
        return self.time_of(0.9)

    def harvest_closes_at(self) -> Estimate:
        """When the middle animal reaches instar II and begins to eat up what it was hatched with.

        Never less than an hour after the opening.
        """
        opens, closes = self.harvest_opens_at(), self.instar_ii_at()
        return Estimate(
            max(closes.p10, opens.p10 + HOUR_S),
            max(closes.p50, opens.p50 + HOUR_S),
            max(closes.p90, opens.p90 + HOUR_S),
        )

    def _when(self, share: float, needs: Sequence[Need]) -> Estimate:
        """When the dose for `share` and some hours more is reached."""
        began, ahead = float(self._times[0]), float(self._at)
        return of_cdf(self._reached(share, needs), began, ahead + HATCH_HORIZON_S, MINUTE_S)

    def _reached(self, share: float, needs: Sequence[Need]) -> Callable[[float], float]:
        """The weight of all for which that dose is reached by a moment (Unix s).

        Looked for ten thousand times an hour: what does not hang on the moment is made before, and
        `weight_below` stands written out.
        """
        tables, ahead = self._tables_of(share), self._ahead
        ways = [(self._doses_now[path], table, ahead.ways(path)) for path, table in tables]

        def reached(t: float) -> float:
            if t < self._at:
                return self._reached_then(t, tables, needs)
            rounds, whole, part = ahead.place(t)
            found = 0.0
            for now, (doses, weights), courses in ways:
                for course, sums, gone in courses:
                    before = sums[whole]
                    dose = now + (rounds * sums[-1] + before + part * (sums[whole + 1] - before) - gone)
                    for weight, more in needs:
                        place = bisect_right(doses, dose - more)
                        if place == len(doses):
                            found += weight * course * weights[-1]
                        elif place:
                            low, base = doses[place - 1], weights[place - 1]
                            along = (dose - more - low) / (doses[place] - low)
                            found += weight * course * (base + along * (weights[place] - base))
            return found

        return reached

    def _reached_then(self, t: float, tables: Sequence[tuple[int, Table]], needs: Sequence[Need]) -> float:
        """The same of a moment of the record."""
        found = 0.0
        for path, table in tables:
            dose = self._dose_then(path, t)
            for weight, more in needs:
                found += weight * weight_below(table, dose - more)
        return found

    def _tables_of(self, share: float) -> list[tuple[int, Table]]:
        found = self._tables.get(share)
        if found is None:
            found = self._tables[share] = [(path, dose_table(share, row)) for path, row in self._rows()]
        return found

    def _rows(self) -> list[tuple[int, list[float]]]:
        """Paths with their weights; those that went alike and will go alike are one."""
        if self._paths is not None:
            return self._paths
        found: list[tuple[int, list[float]]] = []
        for path in range(0, len(PATHS), len(MARGINS)):
            some = range(path, path + len(MARGINS))
            if self._ahead.not_known or len({self._doses_now[p] for p in some}) > 1:
                found += [(p, self._weight[p]) for p in some]
            else:
                found.append((path, [sum(c) for c in zip(*(self._weight[p] for p in some), strict=True)]))
        self._paths = found
        return found

    def _doses(self, path: int, t: float) -> list[tuple[float, float]]:
        """The dose of a path at a moment, from the record or for every way of the days to come, by weight."""
        if t < self._at:
            return [(1.0, self._dose_then(path, t))]
        now = self._doses_now[path]
        return [(weight, now + dose) for weight, dose in self._ahead.doses(path, t)]

    def _dose_then(self, path: int, t: float) -> float:
        """The dose of a path at a moment of the record."""
        place = max(1, min(len(self._times) - 1, bisect_right(self._times, t)))
        began, ended = self._times[place - 1], self._times[place]
        share = (t - began) / (ended - began) if ended > began else 1.0
        before, after = self._steps[place - 1][path], self._steps[place][path]
        return before + share * (after - before)
