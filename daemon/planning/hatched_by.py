"""How much of what will hatch is out so many hours after cysts were wetted, at one warmth.

By the same grid and laws as the beliefs of a vessel (`daemon.estimates.hatch`), for brine of 25 g/kg: at 35
it takes 15 % longer. Of a tin that was opened a while ago less hatches, but no later, as far as is known.
"""

from collections.abc import Iterable
from dataclasses import replace
from functools import cache
from math import inf

from daemon.estimates.hatch.grid import MARGINS, PATH_WEIGHT, PATHS, Start, nodes, scattered
from daemon.estimates.hatch.hatchable_share import of_next, share_prior
from daemon.estimates.hatch.lots import GivenLot, Lots
from daemon.estimates.quantile import Estimate, of_points
from daemon.science.hatching import ACTIVE_FROM_C, STOPS_ABOVE_C, dose_at_share, hatched_share, pace_range
from daemon.science.strains import Strain
from daemon.science.valid_range import within

# Long enough: of nine tins in ten, nine in ten of what will hatch are out [our judgement]. At 25 to 28 °C
# that comes to about a day and a half; laboratories count after 24 and 48 hours at such warmth [M].
OUT_ENOUGH = 0.9
LONGEST_H = 14 * 24.0
LEAST_C, MOST_C = ACTIVE_FROM_C, STOPS_ABOVE_C
_TIN = "tin"
_BINS = 20


def doses_h(hours: float, water_c: float) -> tuple[float, ...]:
    """The dose of every path of the grid, in hours as if at 25 °C."""
    within("hours", hours, 0.0, LONGEST_H, "h")
    return tuple(hours * pace for pace in _paces(water_c))


@cache
def start_of(strain: Strain, opened_days: float = 0.0) -> Start:
    """What is believed of a hatch of such a tin before anything was seen of it."""
    start = Lots({_TIN: GivenLot(strain, None)}).start(_TIN, "", 0, (), 0)
    return replace(start, shares=of_next(share_prior(opened_days)))


def unsure_of_salt(start: Start) -> Start:
    """The same where the brine's salt is as unsure as a recipe and a day's evaporation leave it.

    About 3 g/kg, which is 4 to 5 % of the times: as much as two hatches of a lot differ by [P].
    """
    return replace(start, nodes=tuple(map(scattered, start.nodes)))


def out_by(hours: float, water_c: float, strain: Strain) -> Estimate:
    """The share of the hatchable that is out after so many hours at a warmth, over tins of that strain.

    Refuses less than 4 and more than 33 °C, where development stops, and more than two weeks.
    """
    doses = doses_h(hours, water_c)
    return of_points(
        (hatched_share(doses[path], *nodes()[node]), weight) for path, node, weight in _weights(strain)
    )


def out_points(hours: float, water_c: float, strain: Strain) -> tuple[tuple[float, float], ...]:
    """The same as shares with their weights, in steps of a twentieth."""
    doses = doses_h(hours, water_c)
    weights = [0.0] * _BINS
    for path, node, weight in _weights(strain):
        weights[min(_BINS - 1, int(hatched_share(doses[path], *nodes()[node]) * _BINS))] += weight
    return tuple(((place + 0.5) / _BINS, weight) for place, weight in enumerate(weights) if weight > 0.0)


@cache
def long_enough_h(water_c: float, strain: Strain) -> float | None:
    """After how many hours a test at that warmth tells (`OUT_ENOUGH`); None where none under two weeks do.

    None from about 13 °C down, where no source says how slowly cysts go on.
    """
    paces = _paces(water_c)
    needs = sorted(
        (dose_at_share(OUT_ENOUGH, *nodes()[node]) / paces[path] if paces[path] > 0.0 else inf, weight)
        for path, node, weight in _weights(strain)
    )
    total, below = sum(weight for _, weight in needs), 0.0
    for need, weight in needs:
        below += weight
        if below >= OUT_ENOUGH * total:
            return need if need <= LONGEST_H else None
    return None


def _paces(water_c: float) -> tuple[float, ...]:
    within("water temperature", water_c, LEAST_C, MOST_C, "°C")
    by_margin = dict(zip(MARGINS, pace_range(water_c), strict=True))
    return tuple(by_margin[margin] ** slope for slope, margin in PATHS)


def _weights(strain: Strain) -> Iterable[tuple[int, int, float]]:
    start = start_of(strain)
    for path in range(len(PATHS)):
        for node, weight in enumerate(start.nodes[path // len(MARGINS)]):
            yield path, node, PATH_WEIGHT[path] * weight
