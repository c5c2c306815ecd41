"""How far cups are: their hours weighted by their pace, which warmth sets and salt slows.

By `daemon/science/hatching.py`: hours as if at 25 °C and in 25 g of salt a kg. Warmth or salt that is not
known of every cup counts as alike in all, which is all that a comparison needs.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import inf

from daemon.planning.experiment.counts import Counts, CupCount
from daemon.science.brine import WATER_G_IN_A_LITRE_AT_25_C, salinity_g_per_kg
from daemon.science.hatching import HARDLY_ANY_ABOVE_G_PER_KG, pace, pace_range, salinity_delay

# Warmth of a classroom's cups, where nobody wrote it down [P].
_LIKELY_C = (18.0, 22.0, 26.0)


@dataclass(frozen=True, slots=True)
class Circumstances:
    """What is known of every cup of an experiment: the water's warmth, the salt; one of them at least."""

    warmth: bool
    salt: bool


def circumstances_of(counts: Counts) -> Circumstances | None:
    """Which of them is known of every cup; None for neither."""
    warmth = all(cup.water_c is not None for cup in counts.cups)
    salt = all(cup.salt_g_per_l is not None for cup in counts.cups)
    return Circumstances(warmth, salt) if warmth or salt else None


def pace_of(cups: Sequence[CupCount], circumstances: Circumstances) -> float:
    """Mean pace of some cups: of 25 °C and 25 g/kg it is 1; by salt alone where warmth is not known."""
    return _mean([_warmth_pace(cup, circumstances) / _delay(cup, circumstances) for cup in cups])


def pairs(
    behind: Sequence[CupCount], ahead: Sequence[CupCount], circumstances: Circumstances
) -> Iterator[tuple[float, float]]:
    """Paces of two levels' cups as the sources leave them open: the likely ones, and those farthest apart.

    Where warmth is not known, at each that is likely, the same for both.
    """
    one, other = pace_of(behind, circumstances), pace_of(ahead, circumstances)
    if not circumstances.warmth:
        yield from ((pace(water_c) * one, pace(water_c) * other) for water_c in _LIKELY_C)
        return
    yield one, other
    yield _end(behind, 0, circumstances), _end(ahead, 2, circumstances)


def _end(cups: Sequence[CupCount], end: int, circumstances: Circumstances) -> float:
    return _mean([pace_range(cup.water_c or 0.0)[end] / _delay(cup, circumstances) for cup in cups])


def _warmth_pace(cup: CupCount, circumstances: Circumstances) -> float:
    """The middle of what the sources leave open, which above 28 °C is not the quickest."""
    return pace_range(cup.water_c or 0.0)[1] if circumstances.warmth else 1.0


def _delay(cup: CupCount, circumstances: Circumstances) -> float:
    """By how much salt stretches the hours; for ever where so much of it lets hardly any hatch."""
    if not circumstances.salt or cup.salt_g_per_l is None:
        return 1.0
    salinity = salinity_g_per_kg(cup.salt_g_per_l, WATER_G_IN_A_LITRE_AT_25_C)
    return salinity_delay(salinity) if salinity <= HARDLY_ANY_ABOVE_G_PER_KG else inf


def _mean(values: Sequence[float]) -> float:
    return sum(values) / len(values)
