"""How much to take out and pour in so that salt comes to the middle of its range.

By volume: 1 mL of brine counts as 1 g. Brine of 25 g/kg weighs 1.015 g a mL (Rogers & Pitzer, as in the CRC
Handbook), of 80 g/kg 1.054: the salt that results is given up to 3 % (6 %) too low. Salt is conserved.
"""

import math
from dataclasses import dataclass
from typing import Protocol

from reports.records import Range

# Strong brine to bring salt in: 100 g in a litre of water, by mass.
STRONG_SALT_G_PER_L = 100.0
STRONG_G_PER_KG = 1000.0 * STRONG_SALT_G_PER_L / (1000.0 + STRONG_SALT_G_PER_L)
# The fill error of a mark, about 3 mL for a 7 cm cup: less water than that is not worth a word.
LEAST_ML = 3.0


class Brine(Protocol):
    """What a vessel holds and should hold: salt as believed, its range, mL missing to the mark and at it."""

    @property
    def salinity_g_per_kg(self) -> Range:
        """The salt as believed."""

    @property
    def low_g_per_kg(self) -> float:
        """The least salt that is well."""

    @property
    def high_g_per_kg(self) -> float:
        """The most salt that is well."""

    @property
    def fill_ml(self) -> float:
        """Plain water up to the mark; less than none where the water stands above it."""

    @property
    def mark_ml(self) -> float | None:
        """What the vessel holds at the mark; None where it is not known."""


@dataclass(frozen=True, slots=True)
class Exchange:
    """For each cup: mL to take out, mL to pour in then, and the salt that most likely results, g/kg.

    `to_mark` says that the water then stands at the mark.
    """

    out_ml: float
    in_ml: float
    ends_g_per_kg: float
    to_mark: bool


def middle(brine: Brine) -> float:
    """The middle of the range that the salt should be in, g/kg."""
    return (brine.low_g_per_kg + brine.high_g_per_kg) / 2.0


def with_plain_water(brine: Brine) -> Exchange | None:
    """Plain water instead of some of the brine, up to the mark; None where it cannot be worked out.

    Nothing is taken out where the water up to the mark alone brings the salt into its range; less is poured
    where it would bring the salt below it.
    """
    mark_ml, salt, missing_ml = brine.mark_ml, brine.salinity_g_per_kg.p50, _missing_ml(brine)
    if not _sane(mark_ml, salt, missing_ml) or mark_ml is None or missing_ml >= mark_ml:
        return None
    ends = salt * (mark_ml - missing_ml) / mark_ml
    if missing_ml >= LEAST_ML and ends <= brine.high_g_per_kg:
        if ends >= brine.low_g_per_kg:
            return Exchange(0.0, missing_ml, ends, to_mark=True)
        return Exchange(0.0, (mark_ml - missing_ml) * (salt / middle(brine) - 1.0), middle(brine), False)
    out_ml = mark_ml - missing_ml - mark_ml * middle(brine) / salt
    if not 0.0 < out_ml < mark_ml - missing_ml:
        return None
    return Exchange(out_ml, out_ml + missing_ml, middle(brine), to_mark=True)


def with_strong_brine(brine: Brine) -> Exchange | None:
    """As much strong brine in as water out, so that the level stays; None where it cannot be worked out.

    Where the room below the mark is enough, nothing is taken out; what stands above the mark is, as well.
    """
    mark_ml, salt, wanted = brine.mark_ml, brine.salinity_g_per_kg.p50, middle(brine)
    missing_ml = _missing_ml(brine)
    if not _sane(mark_ml, salt, missing_ml) or mark_ml is None or missing_ml >= mark_ml:
        return None
    if not salt < wanted < STRONG_G_PER_KG:
        return None
    there_ml = mark_ml - missing_ml
    poured_ml = there_ml * (wanted - salt) / (STRONG_G_PER_KG - wanted)
    if poured_ml <= missing_ml:
        return Exchange(0.0, poured_ml, wanted, to_mark=False)
    swapped_ml = min(there_ml, mark_ml) * (wanted - salt) / (STRONG_G_PER_KG - salt)
    return Exchange(swapped_ml + max(0.0, -missing_ml), swapped_ml, wanted, to_mark=False)


def _missing_ml(brine: Brine) -> float:
    """What is missing to the mark; negative above it, by more than the fill error."""
    return 0.0 if -LEAST_ML < brine.fill_ml < 0.0 else brine.fill_ml


def _sane(mark_ml: float | None, salt_g_per_kg: float, missing_ml: float) -> bool:
    return (
        mark_ml is not None
        and all(map(math.isfinite, (mark_ml, salt_g_per_kg, missing_ml)))
        and mark_ml > 0.0
        and salt_g_per_kg > 0.0
    )
