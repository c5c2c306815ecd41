"""A sudden change of a water thermometer: somebody poured, or it came out of the water, or back into it?

What tells them apart is the shape. Poured water is there at once, and then the vessel goes back to where it
was with its own slow lag. A bare capsule in air has a lag of one to three minutes, so its change takes
several readings; it comes out wet, dips towards the wet bulb and comes back when it has dried, faster than
any cup; afterwards it feels every draught, and keeps its distance to the room. Back in water a change is all
there at once, and rest follows. Shapes need a reading every two minutes.
"""

from collections.abc import Sequence
from enum import StrEnum
from itertools import groupby, islice, pairwise

from sensors.trust.room_lag import Sample, above_room_k, slope_to_room
from sensors.trust.water_limits import WaterLimits

_MOVED_K = 0.4
_WITHIN_S = 180
_SHAPE_S = 480
_DIP_S = 1200
# A capsule with a lag of 1.2 minutes shows 0.57 of its change after one minute and 0.81 after two.
_SHARP_SHARE = 0.75
_SHARP_SHARE_OF_TWO = 0.9
_BUSY_K = 0.1
_BUSY_SHARE = 0.08
_BACK_S = 300
_ALONE_K = 2.0  # without a room probe a room that warms or cools could hide a smaller step
_CALM_S = 600
_CALM_AT_LAST_S = 3600
_FLAT_S = 1500
_FLAT_SHARE = 0.3
_RELAXES_SHARE = 0.5
_DRAUGHTY_K2 = 0.02
_DRAUGHTY_TIMES = 4.0
_DRAUGHT_SAMPLES = 12
_SPARSE_S = 120
_EARLY = 30  # the first samples hold the shape, the last ones what came of it
_REMEMBERED = 150
# A capsule takes up the warmth of water within some 15 s, that of air within minutes [P].
_CHANGED_K = 0.5
_LOOKS_AT = 8
_HEATED_K, _NO_AIR_K = 4.5, 7.0  # more than most lamps lift a cup or a bare probe, and than any [P]
_RESTS_K2 = 0.015  # steps of 1/16 °C and a noise of 0.04 K give 0.012 [C]


class ChangeCause(StrEnum):
    """What a sudden change was."""

    AIR = "air"
    POURED = "poured"
    UNKNOWN = "unknown"


def quick(track: Sequence[Sample], allowed_k: float = _MOVED_K) -> bool:
    """Whether the newest sample lies off one of the last three minutes (or off the last sample)."""
    newest = track[-1]
    for place in range(len(track) - 2, -1, -1):
        sample = track[place]
        if newest.at - sample.at > _WITHIN_S and place < len(track) - 2:
            return False
        if abs(newest.water_c - sample.water_c) >= allowed_k:
            return True
    return False


def unrest_k2(samples: Sequence[Sample]) -> float | None:
    """Mean square of the second difference, K²: draughts and noise, no slope. None with too few samples."""
    values = [s.water_c for s in samples]
    if len(values) < _DRAUGHT_SAMPLES:
        return None
    seconds = [c - 2 * b + a for a, b, c in zip(values, values[1:], values[2:], strict=False)]
    return sum(s * s for s in seconds) / len(seconds)


def _in_steps(samples: Sequence[Sample], busy_k: float) -> bool:
    """Whether there are several changes, each over at once, with calm between them: pour after pour."""
    busy = [abs(b.water_c - a.water_c) > busy_k for a, b in pairwise(samples)]
    runs = [len(list(run)) for moving, run in groupby(busy) if moving]
    return len(runs) > 1 and max(runs) <= 2


class SuddenChange:
    """One sudden change, watched until it is clear what it was."""

    def __init__(self, track: Sequence[Sample], water: WaterLimits) -> None:
        """`track` ends with the sample in which the change was noticed; earlier ones tell how it was."""
        self._water = water
        newest = track[-1]
        recent = [s for s in track if newest.at - s.at <= _WITHIN_S] or [newest]
        recent = recent if len(recent) > 1 else list(track)[-2:]
        most_k = max(abs(newest.water_c - s.water_c) for s in recent)
        place = max(n for n, s in enumerate(recent) if abs(newest.water_c - s.water_c) >= 0.8 * most_k)
        self.before = recent[place]
        self.began_at = recent[place + 1].at
        quiet = [s for s in track if s.at <= self.before.at]
        self._usual_k2 = unrest_k2(quiet[-30:]) or 0.0
        self._samples: list[Sample] = [self.before]
        self._extreme = self.before
        self._last_quick_at = newest.at
        for sample in recent[place + 1 :]:
            self._note(sample)

    @property
    def size_k(self) -> float:
        """How far it went, K; below 0 downwards."""
        return self._extreme.water_c - self.before.water_c

    @property
    def sharp(self) -> bool:
        """Whether nearly all of it lay between two samples (three, where one fell into the pouring)."""
        early = [s for s in self._samples if s.at - self.before.at <= _SHAPE_S]
        if len(early) < 2:
            return False
        most = max(abs(s.water_c - self.before.water_c) for s in early)
        one = max(abs(b.water_c - a.water_c) for a, b in pairwise(early))
        two = max((abs(c.water_c - a.water_c) for a, c in zip(early, early[2:], strict=False)), default=0.0)
        whole = one >= _SHARP_SHARE * most or two >= _SHARP_SHARE_OF_TWO * most
        return whole or _in_steps(early, max(_BUSY_K, _BUSY_SHARE * most))

    def take(self, sample: Sample, *, moved_quickly: bool) -> ChangeCause | None:
        """One more sample; what it was, as soon as that is clear."""
        self._note(sample)
        if moved_quickly:
            self._last_quick_at = sample.at
        shaped = sample.at - self.before.at >= 4 * 60 and len(self._samples) > 4
        if not shaped:
            return None
        sharp = self.sharp or self._sparse()
        if self._comes_back(sharp=sharp) or (not sharp and (self._draughty() or self._keeps_its_distance())):
            return ChangeCause.AIR
        return self._accepted(sample.at)

    def heated(self, newest: Sample) -> bool:
        """Whether it is far above the room, and was: a heater with its thermostat moves water quickly."""
        at_first_k, now_k = above_room_k(self.before), above_room_k(newest)
        return now_k > _NO_AIR_K or min(at_first_k, now_k) > _HEATED_K

    def quick_k(self) -> float:
        """How much it may move in three minutes and still be calm: a vessel goes back from a large step."""
        return _MOVED_K + 2 * _WITHIN_S * abs(self.size_k) / self._water.lag_s

    def _note(self, sample: Sample) -> None:
        self._samples.append(sample)
        if len(self._samples) > _REMEMBERED:
            del self._samples[_EARLY]
        if sample.at - self.before.at <= _DIP_S and abs(sample.water_c - self.before.water_c) > abs(
            self.size_k
        ):
            self._extreme = sample

    def _sparse(self) -> bool:
        early = self._samples[:5]
        return any(b.at - a.at > _SPARSE_S for a, b in pairwise(early))

    def _comes_back(self, *, sharp: bool) -> bool:
        """A dip of some minutes, taken back several times faster than the vessel could.

        After a sharp change it may have been poured, so a usual lamp switched on just then must be too slow.
        """
        newest, before = self._samples[-1], self.before
        if newest.at - before.at > 2 * _DIP_S:
            return False
        side = 1.0 if self._samples[1].water_c > before.water_c else -1.0
        lowest = max(self._samples[1:_EARLY], key=lambda s: side * s.water_c)
        dip_k = side * (lowest.water_c - before.water_c)
        if dip_k < _MOVED_K or lowest.at - before.at < (_WITHIN_S if sharp else 100):
            return False
        since = next(s for s in self._samples if s.at >= max(lowest.at, newest.at - _BACK_S))
        back_k = side * (since.water_c - newest.water_c)
        lamp_k = _BACK_S * self._water.lamp_k_per_s / 3 if sharp else 0.0
        return back_k >= 0.25 + lamp_k + 2 * _BACK_S * dip_k / self._water.lag_s

    def _draughty(self) -> bool:
        """Restless in a way that this probe was not before."""
        newest = self._samples[-1]
        settled = [s for s in self._samples[-_DRAUGHT_SAMPLES:] if s.at > self.before.at]
        if newest.at - self.before.at < _SHAPE_S or len(settled) < _DRAUGHT_SAMPLES:
            return False
        if any(abs(b.water_c - a.water_c) > 1.0 for a, b in pairwise(settled)):
            return False
        unrest = unrest_k2(settled)
        return unrest is not None and unrest > max(_DRAUGHTY_K2, _DRAUGHTY_TIMES * self._usual_k2)

    def _calm(self) -> list[Sample]:
        return [s for s in self._samples if s.at >= self._last_quick_at + 300]

    def _drift(self) -> tuple[float, float] | None:
        """(how fast it goes back, how fast water would): K/s, against the room; None where that is open."""
        calm = self._calm()
        if self.before.room_c is None:
            calm = [Sample(s.at, s.water_c, 0.0) for s in calm]
        slope = slope_to_room(calm)
        apart = [s.water_c - s.room_c for s in calm if s.room_c is not None]
        if slope is None or not apart:
            return None
        off_k = sum(apart) / len(apart) - (self.before.water_c - (self.before.room_c or 0.0))
        return (-slope if off_k > 0 else slope), abs(off_k) / self._water.lag_s

    def _keeps_its_distance(self) -> bool:
        calm = self._calm()
        if not calm or calm[-1].at - calm[0].at < _FLAT_S:
            return False
        drift = self._drift()
        least_k = 0.5 if self.before.room_c is not None else _ALONE_K
        if drift is None or drift[1] * self._water.lag_s < least_k:
            return False
        return abs(drift[0]) < _FLAT_SHARE * drift[1]

    def _accepted(self, now: int) -> ChangeCause | None:
        calm_s = now - self._last_quick_at
        if calm_s >= _CALM_S and (self.sharp or self._sparse()):
            return ChangeCause.POURED
        drift = self._drift() if calm_s >= _CALM_S else None
        if (
            drift is not None
            and drift[1] * self._water.lag_s >= 0.5
            and drift[0] >= _RELAXES_SHARE * drift[1]
        ):
            return ChangeCause.POURED
        return ChangeCause.UNKNOWN if calm_s >= _CALM_AT_LAST_S else None


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
