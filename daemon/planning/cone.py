"""Hatching in a cone to feed others: when to draw it off, how many come, and how to keep them.

Water is taken as held at one temperature. Hours count from the setting of dry cysts.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from daemon.estimates.hatch.grid import MARGINS, PATH_WEIGHT, SWANSON, Start, nodes
from daemon.estimates.hatch.outlook import INSTAR_II_DOSE_H, INSTAR_II_MARGIN
from daemon.estimates.quantile import Estimate, of_points
from daemon.planning.dose import GOOD_SALT_G_PER_KG, LIMITS, most_cysts_g
from daemon.planning.hatched_by import doses_h, start_of
from daemon.planning.tin_yield import TinYield
from daemon.science.brine import salinity_in_a_litre
from daemon.science.hatching import (
    HARDLY_ANY_ABOVE_G_PER_KG,
    NOT_KNOWN_BELOW_C,
    STOPS_ABOVE_C,
    dose_at_share,
    hatched_share,
    salinity_delay,
)
from daemon.science.strains import Strain
from daemon.science.valid_range import within

WATER_C = (NOT_KNOWN_BELOW_C, STOPS_ABOVE_C)
CYSTS_G = (1e-4, 1e5)
CONE_ML = (100.0, 1e6)  # less is a cup, or litres written as mL [P]
USUAL_CYSTS_G_PER_L = 2.0  # what has air enough in a cone of any size (FAO 428 [R])
_LEAST_WEIGHT = 1e-6  # ways that are rarer say nothing
LEAST_OPEN_H = 1.0  # a harvest stays open so long, as the beliefs about a running batch have it
OPENS_AT, SPREAD_FROM = 0.9, 0.1
# Cold holding (Ghent University course notes [R]); 2–4 °C for 48 h with over 90 % alive, one strain [R].
HOLD_BELOW_C, HOLD_MOST_PER_L, HOLD_H = 10.0, 8e6, 24.0
HOLD_COLDEST_C, HOLD_COLD_C, HOLD_COLD_H, ALIVE_FRACTION = 2.0, 4.0, 48.0, 0.9


@dataclass(frozen=True, slots=True)
class SeenTin:
    """A tin of which so many hatches were watched, counted or tested, as they left it (`learned_lot`)."""

    start: Start
    hatches: int


@dataclass(frozen=True, slots=True)
class ConeWish:
    """What is set in a cone. `water_c` is held, `salt_g_per_l` is stirred in a litre of water.

    The hours are those of the tin as it was `seen`, and where it was not those of its strain.
    """

    volume_ml: float
    cysts_g: float
    water_c: float
    strain: Strain
    tin: TinYield
    salt_g_per_l: float = 25.0
    seen: SeenTin | None = None


# What was seen says something of the hours where it makes their range narrower by a tenth, or brings them
# forward by as much [our judgement]. A watched hatch makes it 0.56 times as wide [C:
# test_cone_of_tin.py]; late counts of a share leave it as wide, and tell of no quick hatch.
TELLS_HOURS = 0.9


class _HatchWay(NamedTuple):
    """One of the ways that a hatch may go, with its weight. Hours are after setting.

    It opens when nine in ten have hatched, and closes when the middle animal begins to feed; at `first_h` the
    earliest tenth does, and what has hatched by then (`first_out`) can be drawn first.
    """

    weight: float
    t50_h: float
    synchrony: float
    opens_h: float
    closes_h: float
    first_h: float
    first_out: float

    @property
    def spread(self) -> bool:
        """Whether the first feed before the last have hatched."""
        return self.first_h < self.opens_h


class ConeHatch:
    """A hatch in water held at one temperature, over all ways that it may go.

    Of a lot as it `start`s. Raises OutOfRange below 15 °C, where no hatching times are at hand, and above
    33 °C, where it stops.
    """

    def __init__(self, water_c: float, salt_g_per_l: float, start: Start) -> None:
        within("water temperature", water_c, *WATER_C, "°C")
        within("salt", salt_g_per_l, *LIMITS["salt_g_per_l"], "g/L")
        self._ways = list(_ways(water_c, _delay(salinity_in_a_litre(salt_g_per_l)), start))
        self._total = sum(way.weight for way in self._ways)
        self._open: dict[float, float] = {}

    @cached_property
    def half_h(self) -> Estimate:
        """When half have hatched."""
        return of_points((way.t50_h, way.weight) for way in self._ways)

    @cached_property
    def opens_h(self) -> Estimate:
        """When nine in ten have hatched."""
        return of_points((way.opens_h, way.weight) for way in self._ways)

    @cached_property
    def closes_h(self) -> Estimate:
        """When the middle animal reaches instar II and begins to feed; an hour after the opening at least."""
        return of_points((way.closes_h, way.weight) for way in self._ways)

    @cached_property
    def two_harvests_chance(self) -> float:
        """How likely it is that the first feed before the last have hatched."""
        return sum(way.weight for way in self._ways if way.spread) / self._total

    @cached_property
    def first_of_two(self) -> tuple[Estimate, Estimate] | None:
        """Of hatches that are spread: when to draw the first time, h, and what share is out then.

        None where none is.
        """
        some = [way for way in self._ways if way.spread]
        if not some:
            return None
        hours = of_points((way.first_h, way.weight) for way in some)
        return hours, of_points((way.first_out, way.weight) for way in some)

    def chance_open(self, after_h: float) -> float:
        """How likely it is that so many hours after setting lie in the harvest window."""
        if after_h not in self._open:
            open_then = (way.weight for way in self._ways if way.opens_h <= after_h <= way.closes_h)
            self._open[after_h] = sum(open_then) / self._total
        return self._open[after_h]

    def out_after(self, after_h: float) -> Estimate:
        """The share of the hatchable that is out after so many hours."""
        return of_points((hatched_share(after_h, way.t50_h, way.synchrony), way.weight) for way in self._ways)


def hatch_of(wish: ConeWish) -> ConeHatch:
    """The hatch that is wished. Raises OutOfRange."""
    of_strain = ConeHatch(wish.water_c, wish.salt_g_per_l, start_of(wish.strain))
    if wish.seen is None:
        return of_strain
    seen = ConeHatch(wish.water_c, wish.salt_g_per_l, wish.seen.start)
    as_late = seen.half_h.p50 > TELLS_HOURS * of_strain.half_h.p50
    return of_strain if as_late and _unsure(seen) >= TELLS_HOURS * _unsure(of_strain) else seen


def share_only(wish: ConeWish) -> bool:
    """Whether what was seen of a tin leaves its hours as unsure as any tin's: only its share was counted."""
    if wish.seen is None:
        return False
    seen, used = ConeHatch(wish.water_c, wish.salt_g_per_l, wish.seen.start), hatch_of(wish)
    return seen.half_h != used.half_h


def _unsure(hatch: ConeHatch) -> float:
    return hatch.half_h.p90 / hatch.half_h.p10


def _delay(salt_g_per_kg: float) -> float:
    """By how much the hours stretch. Below what is known it is that of the least that is: a line drawn on to
    fresh water would have them hatch soonest where hardly any do."""
    return salinity_delay(min(HARDLY_ANY_ABOVE_G_PER_KG, max(GOOD_SALT_G_PER_KG[0], salt_g_per_kg)))


def _ways(water_c: float, delay: float, start: Start) -> Iterator[_HatchWay]:
    weights: dict[tuple[float, int], list[float]] = {}
    for path, pace in enumerate(doses_h(1.0, water_c)):
        # Where a pace is known its margins are one.
        row = weights.setdefault((pace, path // len(MARGINS)), [0.0] * len(nodes()))
        for node, weight in enumerate(start.nodes[path // len(MARGINS)]):
            row[node] += PATH_WEIGHT[path] * weight
    for (pace, _), row in weights.items():
        for (t50_h, synchrony), weight in zip(nodes(), row, strict=True):
            if weight > _LEAST_WEIGHT and pace > 0.0:
                yield from _by_instar(weight, t50_h * delay / pace, synchrony, INSTAR_II_DOSE_H / pace)


def _by_instar(weight: float, t50_h: float, synchrony: float, instar_ii_h: float) -> Iterator[_HatchWay]:
    """A hatch of such a T50, h after setting: an animal feeds `instar_ii_h` after hatching, about."""
    early, opens = (dose_at_share(share, t50_h, synchrony) for share in (SPREAD_FROM, OPENS_AT))
    for part, times in zip(SWANSON, (1.0 - INSTAR_II_MARGIN, 1.0, 1.0 + INSTAR_II_MARGIN), strict=True):
        feeds = times * instar_ii_h
        closes, first = max(opens + LEAST_OPEN_H, t50_h + feeds), early + feeds
        out = hatched_share(first, t50_h, synchrony)
        yield _HatchWay(part * weight, t50_h, synchrony, opens, closes, first, out)


@dataclass(frozen=True, slots=True)
class PlannedCone:
    """A cone before it is set: its hatch, the animals that hatch, and litres to keep them cold in."""

    wish: ConeWish
    hatch: ConeHatch
    animals: Estimate
    hold_l: Estimate
    most_cysts_g: float

    @property
    def salt_g_per_kg(self) -> float:
        """What the brine holds."""
        return salinity_in_a_litre(self.wish.salt_g_per_l)

    @property
    def two_harvests(self) -> bool:
        """Whether two are advised: it is more likely than not that the first feed before the last hatch."""
        return self.hatch.two_harvests_chance > 0.5

    @property
    def air_enough(self) -> bool:
        """Whether so many cysts have air enough (FAO 428)."""
        return self.wish.cysts_g <= self.most_cysts_g * (1.0 + 1e-9)


def planned_cone(wish: ConeWish) -> PlannedCone:
    """The plan for one cone. Raises OutOfRange."""
    within("volume", wish.volume_ml, *CONE_ML, "mL")
    within("cysts in g", wish.cysts_g, *CYSTS_G)
    animals = wish.tin.animals_of_g(wish.cysts_g)
    return PlannedCone(
        wish=wish,
        hatch=hatch_of(wish),
        animals=animals,
        hold_l=Estimate(*(each / HOLD_MOST_PER_L for each in (animals.p10, animals.p50, animals.p90))),
        most_cysts_g=most_cysts_g(wish.volume_ml),
    )
