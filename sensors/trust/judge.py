"""Is a reading believable? A streaming judge of all probes of a station.

Only water thermometers are judged for what they do: they alone are in something that cannot change quickly.
Nothing here changes a value or makes a failed reading good.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from sensors.reading import BELIEVABLE, Measure, Quality, Reading
from sensors.trust.revision import Revision
from sensors.trust.room_lag import Sample
from sensors.trust.water_limits import WaterLimits
from sensors.trust.water_probe import WaterProbe

_ROOM_HELD_S = 600
_DISTRUST = (Quality.JUMP, Quality.STUCK, Quality.IN_AIR)

_WHY = {
    Quality.GOOD: "its readings are trusted",
    Quality.JUMP: "it changed faster than the water can; it is trusted again when it has stayed calm",
    Quality.STUCK: "it does not change at all while its surroundings moved",
    Quality.IN_AIR: "it behaves like a thermometer in air, not in water",
}


@dataclass(frozen=True, slots=True)
class Watched:
    """A probe to be judged.

    `volume_ml` is the content of the vessel a water probe hangs in; `room` the probe of the room's air beside
    it; `neighbours` the water probes of vessels under like conditions (the same lamp hours, the same room);
    `lit` says whether its lamp's hours include a moment (None: it has no lamp); `heater_c` where a heater
    holds that vessel (None: none is known of).
    """

    probe: str
    measures: Measure
    volume_ml: float | None = None
    room: str | None = None
    neighbours: tuple[str, ...] = ()
    lit: Callable[[int], bool] | None = None
    heater_c: float | None = None


@dataclass(frozen=True, slots=True)
class Judged:
    """The readings with the quality they have now, and what they changed about earlier ones, in order.

    `readings` already bear the revisions; these are for what was stored before.
    """

    readings: tuple[Reading, ...]
    revisions: tuple[Revision, ...]


class Judge:
    """Judges every reading of a station. Its state is a function of the readings given so far."""

    def __init__(self, watched: Sequence[Watched], sample_every_s: int) -> None:
        """Trust all probes until they do something."""
        self._watched = {plan.probe: plan for plan in watched}
        self._water = {
            plan.probe: WaterProbe(
                plan.probe, WaterLimits(plan.volume_ml, plan.heater_c), sample_every_s, plan.lit
            )
            for plan in watched
            if plan.measures is Measure.WATER_C and plan.volume_ml is not None
        }
        self._held_s = max(_ROOM_HELD_S, 2 * sample_every_s)
        self._room: dict[str, tuple[int, float]] = {}
        self._water_now: dict[str, tuple[int, float]] = {}
        self._failed: dict[str, Quality] = {}

    def judge(self, readings: Sequence[Reading]) -> Judged:
        """Judge readings, which come in time order. One that is not later than its probe's last is only
        held against the believable range: after the wall clock was put back, nothing can be compared."""
        judged: list[Reading] = []
        revisions: list[Revision] = []
        for _, group in groupby(readings, key=lambda reading: reading.at):
            beat = [self._in_range(reading) for reading in group]
            for reading in beat:
                self._remember(reading)
            for reading in beat:
                newest, found = self._one(reading)
                judged.append(newest)
                revisions += found
        return Judged(revised(judged, revisions), tuple(revisions))

    def why(self, probe: str) -> str:
        """In plain words, why a probe is trusted or not."""
        if probe not in self._watched:
            raise KeyError(f"probe: found {probe!r}; allowed: {', '.join(self._watched)}")
        failed = self._failed.get(probe)
        if failed is not None:
            return f"its last reading failed: {failed.value}"
        water = self._water.get(probe)
        return _WHY[water.quality if water is not None else Quality.GOOD]

    @property
    def doubts(self) -> Mapping[str, str]:
        """What is strange without being enough to distrust a probe, by probe."""
        found = {probe: water.doubt() for probe, water in self._water.items()}
        return {probe: doubt for probe, doubt in found.items() if doubt is not None}

    def _in_range(self, reading: Reading) -> Reading:
        plan = self._watched.get(reading.probe)
        if plan is None or not reading.good:
            return reading
        low, high = BELIEVABLE[plan.measures]
        if reading.value is not None and low <= reading.value <= high:
            return reading
        return replace(reading, quality=Quality.ABSENT if reading.value is None else Quality.RANGE)

    def _remember(self, reading: Reading) -> None:
        plan = self._watched.get(reading.probe)
        if plan is None:
            return
        if not reading.good or reading.value is None:
            self._failed[reading.probe] = reading.quality
            return
        self._failed.pop(reading.probe, None)
        if plan.measures is Measure.ROOM_C:
            self._room[reading.probe] = (reading.at, reading.value)

    def _one(self, reading: Reading) -> tuple[Reading, list[Revision]]:
        water, plan = self._water.get(reading.probe), self._watched.get(reading.probe)
        if water is None or plan is None or not reading.good or reading.value is None:
            return reading, []
        if water.now is not None and reading.at <= water.now:
            return reading, []
        sample = Sample(reading.at, reading.value, self._room_c(plan, reading.at))
        quality, revisions = water.take(sample, self._neighbours_c(plan, reading.at))
        if quality is Quality.GOOD:
            self._water_now[reading.probe] = (reading.at, reading.value)
        return replace(reading, quality=quality), revisions

    def _room_c(self, plan: Watched, at: int) -> float | None:
        held = self._room.get(plan.room) if plan.room is not None else None
        return held[1] if held is not None and 0 <= at - held[0] <= self._held_s else None

    def _neighbours_c(self, plan: Watched, at: int) -> dict[str, float]:
        held = {probe: self._water_now[probe] for probe in plan.neighbours if probe in self._water_now}
        return {probe: value for probe, (then, value) in held.items() if 0 <= at - then <= self._held_s}


def revised(readings: Iterable[Reading], revisions: Sequence[Revision]) -> tuple[Reading, ...]:
    """Readings as they are after revisions, in the order of these; what a device got wrong stays as it is."""
    after = list(readings)
    for revision in revisions:
        for place, reading in enumerate(after):
            if (
                reading.probe == revision.probe
                and revision.since <= reading.at <= revision.until
                and (reading.good or reading.quality in _DISTRUST)
            ):
                after[place] = replace(reading, quality=revision.quality)
    return tuple(after)


def as_read(reading: Reading) -> Reading:
    """The reading as its device gave it, before it was judged: to judge stored readings anew."""
    return replace(reading, quality=Quality.GOOD) if reading.quality in _DISTRUST else reading
