"""Is a thermometer back in the water? A change that is all there at once, and rest afterwards."""

from collections.abc import Sequence
from itertools import islice

from sensors.trust.kick import unrest_k2
from sensors.trust.lag import Sample

# A capsule takes up the warmth of water within some 15 s, that of air within minutes [P].
_CHANGED_K = 0.5
_LOOKS_AT = 8
_RESTS_K2 = 0.015  # steps of 1/16 °C and a noise of 0.04 K give 0.012 [C]


def dipped_at(track: Sequence[Sample]) -> int | None:
    """When the thermometer came into liquid, Unix s, as seen four readings later; None if not then."""
    last = list(islice(track, max(0, len(track) - _LOOKS_AT), None))
    if len(last) < _LOOKS_AT:
        return None
    one = _at_once(last[1:3], last[3:], _CHANGED_K, 0.3)
    two = _at_once(last[:2], last[3:], 2 * _CHANGED_K, 0.1)  # a reading fell into the dipping
    return last[3].at if one or two else None


def at_rest(samples: Sequence[Sample]) -> bool:
    """Whether nothing disturbs it but its own noise; False while there are too few samples."""
    unrest = unrest_k2(samples)
    return unrest is not None and unrest <= _RESTS_K2


def _at_once(before: Sequence[Sample], after: Sequence[Sample], least_k: float, share: float) -> bool:
    """Whether there was a change of that size, with calm before and after it, to a share of it.

    The calm before keeps out the last part of a bare capsule's own slow change.
    """
    changed_k = abs(after[0].water_c - before[-1].water_c)
    calm_k = share * changed_k + 0.1
    return (
        changed_k >= least_k
        and abs(before[1].water_c - before[0].water_c) <= calm_k
        and all(abs(s.water_c - after[0].water_c) <= calm_k for s in after[1:])
    )
