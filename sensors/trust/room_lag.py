"""Does a thermometer follow the room at once, as air does, or with a cup's lag?

Both are fitted to the same stretch of readings by least squares. In air: T = room + c. In water:
dT/dt = (room + b - T)/lag, that is T(t) - T(0) = (∫(room - T) dt + b·t)/lag, with b (what lamp and
evaporation add) free and the best of some lags about the usual one. Only a room that changed its pace can
tell them apart: along a straight slope both fit, and nothing is said.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise
from math import sqrt

_LAG_SHARES = (0.5, 0.75, 1.0, 1.5, 2.2)
_FITS_K = 0.12  # a good fit: two steps of a DS18B20, and a room's air that is not the same everywhere
_FITS_WELL_K = 0.06
_MISFIT_K = 0.3


@dataclass(frozen=True, slots=True)
class Sample:
    """A probe's reading with the room's air at the same beat (None where there is none), °C."""

    at: int
    water_c: float
    room_c: float | None = None


def above_room_k(sample: Sample) -> float:
    """How far it stands above the room, K; 0 where the room is not known."""
    return 0.0 if sample.room_c is None else sample.water_c - sample.room_c


class Follows(StrEnum):
    """What the readings follow."""

    AIR = "air"
    WATER = "water"


def follows(samples: Sequence[Sample], lag_s: float) -> Follows | None:
    """What a stretch of samples follows, or None where that is open."""
    known = [(s.at - samples[0].at, s.water_c, s.room_c) for s in samples if s.room_c is not None]
    if len(known) < 10:
        return None
    air_k = _air_misfit_k([(water, room) for _, water, room in known])
    if air_k > _FITS_K and air_k < _MISFIT_K:
        return None
    water_k = _water_misfit_k(known, lag_s)
    if air_k <= _FITS_K and water_k >= _MISFIT_K:
        return Follows.AIR
    if water_k <= _FITS_WELL_K and air_k >= _MISFIT_K:
        return Follows.WATER
    return None


def _air_misfit_k(pairs: Sequence[tuple[float, float]]) -> float:
    differences = [water - room for water, room in pairs]
    mean = sum(differences) / len(differences)
    return sqrt(sum((d - mean) ** 2 for d in differences) / len(differences))


def _water_misfit_k(known: Sequence[tuple[int, float, float]], lag_s: float) -> float:
    """The best water can do: linear least squares in b and the start, for each lag."""
    gathered, driven = 0.0, [0.0]
    for (t0, w0, r0), (t1, w1, r1) in pairwise(known):
        gathered += 0.5 * ((r0 - w0) + (r1 - w1)) * (t1 - t0)
        driven.append(gathered)
    times = [float(t) for t, _, _ in known]
    count = len(known)
    mean_t = sum(times) / count
    spread = sum((t - mean_t) ** 2 for t in times)
    best = float("inf")
    for share in _LAG_SHARES:
        rest = [w - d / (lag_s * share) for (_, w, _), d in zip(known, driven, strict=True)]
        mean = sum(rest) / count
        slope = sum((t - mean_t) * r for t, r in zip(times, rest, strict=True)) / spread
        squares = sum((r - mean - slope * (t - mean_t)) ** 2 for t, r in zip(times, rest, strict=True))
        best = min(best, squares)
    return sqrt(best / count)


def slope_to_room(samples: Sequence[Sample]) -> float | None:
    """How fast the difference to the room changes, K/s; None with fewer than ten samples."""
    known = [(s.at, s.water_c - s.room_c) for s in samples if s.room_c is not None]
    if len(known) < 10:
        return None
    mean_t = sum(t for t, _ in known) / len(known)
    spread = sum((t - mean_t) ** 2 for t, _ in known)
    return sum((t - mean_t) * d for t, d in known) / spread if spread else None
