"""How many animals there are, from some spoonfuls counted."""

from collections.abc import Sequence

from daemon.errors import InputError
from daemon.science.counts import IntervalEstimate, animals_in, animals_per_ml
from daemon.science.valid_range import OutOfRange

_ROUNDING = 1.0 + 1e-9


def counted_animals(
    counts: Sequence[int], ml: float, volume_ml: float | None
) -> tuple[IntervalEstimate, IntervalEstimate | None]:
    """Animals in a mL, and in the whole vessel where its volume is known.

    Raises InputError for what the sources do not cover, and for more counted than the vessel holds.
    """
    try:
        per_ml = animals_per_ml(counts, ml)
        in_all = None if volume_ml is None else animals_in(per_ml, volume_ml, sum(counts))
    except OutOfRange as error:
        raise InputError(f"found: {error}") from error
    if volume_ml is not None and len(counts) * ml > volume_ml * _ROUNDING:
        taken = f"{len(counts)} spoonfuls of {ml:g} mL, {len(counts) * ml:g} mL in all"
        raise InputError(f"--volume-ml: found {volume_ml:g}; allowed: what was counted at least ({taken})")
    return per_ml, in_all
