"""The belief about the hatch of one vessel: how far it is, and when it will be there.

Dose is time weighted by the pace at the water's temperature, in hours as if at 25 °C, kept for every path
of `hatchgrid`. Below 15 °C the pace is not known: between none and the extrapolated law's. The time to
come is the last 24 h over again; with less known, unknown hours have the mean so far, with a margin that
reaches further down than up. What is learned of a lot lasts to its next batch in this vessel.
"""

from bisect import bisect_right
from copy import copy

from daemon.care.deed import Deed
from daemon.estimates.hatchgrid import MARGINS, PATHS, HatchGrid, doses_for, next_of_lot, nodes, prior
from daemon.estimates.quantile import Estimate, of_cdf, of_points
from daemon.estimates.recent import ComingDays, RecentDay
from daemon.estimates.stretch import HOUR_S, Stretch
from daemon.science.brine import salinity_in_a_litre
from daemon.science.hatching import (
    HARDLY_ANY_ABOVE_G_PER_KG,
    NOT_KNOWN_BELOW_C,
    STOPS_ABOVE_C,
    hatched_share,
    hours_to_instar_ii,
    pace,
    salinity_delay,
)

HORIZON_S = 30 * 86_400
MINUTE_S = 60.0
HISTORY_STEP_S = HOUR_S
# The coming days' pace as a share of the last day's, at 10, 50 and 90 % [P]: a day that is alike; and where
# the day has not been seen yet. Batches are set in the warm part of a day, and a night costs 0.6 to 6 °C:
# at 22 °C that is a pace of 0.95 to 0.4 for half the day or, over a weekend, for all of it.
DAY_ALIKE, DAY_UNSEEN = (0.90, 1.0, 1.08), (0.60, 0.92, 1.10)
USUAL_SALT_G_PER_L = 25.0
# Instar II comes "about 8 h" after hatching: a quarter earlier or later [P].
INSTAR_II_MARGIN = 0.25
DEGREES = len(PATHS)  # the column of the recent day that holds °C·h


class HatchBelief:
    """Feed stretches and deeds in time order; outside a batch both are let pass."""

    def __init__(self) -> None:
        self._lots: dict[str, list[float]] = {}
        self._set_at: int | None = None
        self._begin(0, None, USUAL_SALT_G_PER_L)
        self._set_at = None

    def copy(self) -> "HatchBelief":
        """A copy that goes its own way."""
        twin = copy(self)
        twin._lots, twin._grid, twin._recent = dict(self._lots), self._grid.copy(), self._recent.copy()
        twin._doses, twin._history = list(self._doses), list(self._history)
        return twin

    def _begin(self, at: int, lot: str | None, salt_g_per_l: float) -> None:
        self._set_at, self._lot, self._looks = at, lot, 0
        known = self._lots.get(lot) if lot else None
        self._grid = HatchGrid(prior() if known is None else next_of_lot(known))
        self._doses = [0.0] * len(PATHS)
        self._looked = tuple(self._doses)
        self._history: list[tuple[int, tuple[float, ...]]] = [(at, self._looked)]
        self._recent = RecentDay()
        salinity = salinity_in_a_litre(min(95.0, max(0.0, salt_g_per_l)))
        self._delay = salinity_delay(min(HARDLY_ANY_ABOVE_G_PER_KG, salinity))

    def _end(self) -> None:
        if self._set_at is not None and self._lot and self._looks:
            self._lots[self._lot] = self._grid.node_weights()
        self._set_at = None

    def feed_stretch(self, stretch: Stretch) -> None:
        """Development during a stretch of time."""
        if self._set_at is None:
            return
        gained = self._gain_h(stretch)
        self._doses = [a + b for a, b in zip(self._doses, gained, strict=True)]
        degrees = stretch.water_c * stretch.hours
        self._recent.add(stretch.began, stretch.ended - stretch.began, [*gained, degrees])
        if stretch.ended - self._history[-1][0] >= HISTORY_STEP_S:
            self._history.append((stretch.ended, tuple(self._doses)))

    def _gain_h(self, stretch: Stretch) -> list[float]:
        scale = stretch.hours / self._delay
        paces = dict(zip(MARGINS, _paces(stretch), strict=True))
        return [scale * paces[margin] ** slope for slope, margin in PATHS]

    def feed_deed(self, deed: Deed) -> None:
        """What a deed says about the hatch; deeds that say nothing are let pass."""
        if deed.deed == "set":
            self._end()
            lot, salt = deed.detail.get("lot"), deed.number("salt_g_per_l")
            self._begin(deed.at, str(lot) if lot else None, USUAL_SALT_G_PER_L if salt is None else salt)
        elif self._set_at is None:
            return
        elif deed.deed == "end":
            self._end()
        elif deed.deed == "first-swimmer":
            self._grid.see_first(self._doses, self._looked)
            self._look()
        elif deed.deed == "hatched" and deed.amount is not None:
            self._grid.see_share(self._doses, deed.amount)
            self._look()

    def _look(self) -> None:
        self._looks += 1
        self._looked = tuple(self._doses)

    def hatched_fraction(self) -> Estimate:
        """The share of the hatchable cysts that has hatched."""
        points: dict[float, list[float]] = {}
        for dose, row in zip(self._doses, self._grid.weight, strict=True):
            same = points.get(dose)
            points[dose] = list(row) if same is None else [a + b for a, b in zip(same, row, strict=True)]
        return of_points(
            (hatched_share(dose, t50, synchrony), weight)
            for dose, row in points.items()
            for (t50, synchrony), weight in zip(nodes(), row, strict=True)
            if weight > 1e-7
        )

    def outlook(self, at: int) -> "HatchOutlook":
        """The belief at `at`, the end of what was fed."""
        return HatchOutlook(self, at)


def _paces(stretch: Stretch) -> tuple[float, float, float]:
    """Pace at the low, middle and high end of what the temperature and the law leave open."""
    temperatures = (stretch.low_c, stretch.water_c, stretch.high_c)
    if stretch.low_c == stretch.high_c:
        middle = _pace(stretch.water_c)
        low = high = middle
    else:
        low, middle, high = sorted(map(_pace, temperatures))
    if stretch.low_c < NOT_KNOWN_BELOW_C:
        low = 0.0
    if stretch.water_c < NOT_KNOWN_BELOW_C:
        middle *= 0.5
    return low, middle, high


def _pace(water_c: float) -> float:
    return pace(min(60.0, max(-5.0, water_c)))


class HatchOutlook:
    """When shares of the hatchable cysts have hatched or will have, seen from one moment."""

    def __init__(self, belief: HatchBelief, at: int) -> None:
        self._began = belief._history[0][0]
        self._at = max(at, self._began)
        self._times = [t for t, _ in belief._history] + [self._at]
        self._steps = [doses for _, doses in belief._history] + [tuple(belief._doses)]
        self._weight = belief._grid.weight
        still = ComingDays(self._at, [1.0 / HOUR_S] * 24)  # nothing known yet: as at 25 °C
        self._coming = [belief._recent.coming(self._at, p) or still for p in range(len(PATHS))]
        unseen = 1.0 - min(1.0, belief._recent.hours_known(self._at) / 24.0)
        factors = [a + unseen * (b - a) for a, b in zip(DAY_ALIKE, DAY_UNSEEN, strict=True)]
        self._factor = [factors[MARGINS.index(margin)] for _, margin in PATHS]
        degrees = belief._recent.per_day(self._at)
        self._mean_c = degrees[DEGREES] / 24.0 if degrees else 25.0

    def time_of(self, share: float) -> Estimate:
        """When `share` of the hatchable cysts has hatched, Unix s; at most 30 days ahead."""
        tables = [_table(share, row) for row in self._weight]

        def reached(t: float) -> float:
            return sum(_below(table, dose) for table, dose in zip(tables, self._doses(t), strict=True))

        return of_cdf(reached, float(self._began), float(self._at + HORIZON_S), MINUTE_S)

    def harvest_opens_at(self) -> Estimate:
        """When a cone may be drawn: nine in ten have hatched."""
        return self.time_of(0.9)

    def harvest_closes_at(self) -> Estimate:
        """When the middle animal reaches instar II and begins to eat up what it was hatched with.

        T50 and instar II's hours at the mean temperature of the last day; never less than an hour after
        the opening.
        """
        opens, middle = self.harvest_opens_at(), self.time_of(0.5)
        wait_s = HOUR_S * hours_to_instar_ii(min(STOPS_ABOVE_C, max(NOT_KNOWN_BELOW_C, self._mean_c)))
        return Estimate(
            max(middle.p10 + (1.0 - INSTAR_II_MARGIN) * wait_s, opens.p10 + HOUR_S),
            max(middle.p50 + wait_s, opens.p50 + HOUR_S),
            max(middle.p90 + (1.0 + INSTAR_II_MARGIN) * wait_s, opens.p90 + HOUR_S),
        )

    def _doses(self, t: float) -> list[float]:
        """The dose of every path at a moment, from the record or from the days to come."""
        if t >= self._at:
            coming = zip(self._steps[-1], self._coming, self._factor, strict=True)
            return [dose + factor * days.amount(t) for dose, days, factor in coming]
        place = max(1, min(len(self._times) - 1, bisect_right(self._times, t)))
        began, ended = self._times[place - 1], self._times[place]
        share = (t - began) / (ended - began) if ended > began else 1.0
        before, after = self._steps[place - 1], self._steps[place]
        return [a + share * (b - a) for a, b in zip(before, after, strict=True)]


Table = tuple[list[float], list[float]]


def _table(share: float, row: list[float]) -> Table:
    """Doses at which `share` is reached, and how much weight lies up to each."""
    doses, sums, total = [], [], 0.0
    for dose, node in doses_for(share):
        total += row[node]
        doses.append(dose)
        sums.append(total)
    return doses, sums


def _below(table: Table, dose: float) -> float:
    """The weight of the nodes whose share is reached at `dose`, straight between them."""
    doses, sums = table
    place = bisect_right(doses, dose)
    if place == 0:
        return 0.0
    if place == len(doses):
        return sums[-1]
    part = (dose - doses[place - 1]) / (doses[place] - doses[place - 1])
    return sums[place - 1] + part * (sums[place] - sums[place - 1])
