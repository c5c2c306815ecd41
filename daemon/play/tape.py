"""Recorded readings: a tape is read and checked whole before anything plays it."""

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from daemon.errors import InputError
from daemon.input.csv import MOMENT_ALLOWED, NUMBER_ALLOWED, Faults, read_moment, read_number, read_rows
from daemon.input.file import shown
from daemon.station import Station
from sensors.reading import Measure, Quality, Reading, judged

HEADER = ("time", "probe", "value", "fault")
FAULTS = {q.value: q for q in (Quality.ABSENT, Quality.CRC, Quality.RESET, Quality.RANGE)}
# How long a probe that plays a tape holds a row when the next one is late: longer, and the station was off.
HOLD_S = 600


@dataclass(frozen=True, slots=True)
class Tape:
    """Recorded readings in time order; `began` and `ended` are the first and the last row's time."""

    readings: tuple[Reading, ...]

    @property
    def began(self) -> int:
        """The first row's time, Unix seconds."""
        return self.readings[0].at

    @property
    def ended(self) -> int:
        """The last row's time, Unix seconds."""
        return self.readings[-1].at

    def off_stretches(self, longer_than_s: int) -> list[tuple[int, int]]:
        """From the last row before to the first row after every stretch without rows of any probe."""
        pairs = pairwise(reading.at for reading in self.readings)
        return [(before, after) for before, after in pairs if after - before > longer_than_s]


class TapeBench:
    """All probes of a station, played from a tape in the tape's own time."""

    def __init__(self, tape: Tape) -> None:
        self._readings = tape.readings
        self._next = 0

    def sample(self, at: int) -> Sequence[Reading]:
        """The rows after the previous beat's time, up to `at`."""
        first = self._next
        while self._next < len(self._readings) and self._readings[self._next].at <= at:
            self._next += 1
        return self._readings[first : self._next]

    def close(self) -> None:
        """Nothing is held."""


class TapeProbe:
    """One probe that plays its rows of a tape in real time, from its first read on.

    The tape's first row, of whichever probe, falls on the first read, so several probes on one tape
    keep step. A row holds until the next, for at most ten minutes; after the last row the probe is
    absent, and before its first.
    """

    def __init__(self, probe_id: str, measures: Measure, tape: Tape) -> None:
        self._id = probe_id
        self._measures = measures
        self._began = tape.began
        self._rows = [reading for reading in tape.readings if reading.probe == probe_id]
        self._times = [reading.at for reading in self._rows]
        self._shift: int | None = None

    @property
    def id(self) -> str:
        """The name the station file gives it."""
        return self._id

    @property
    def measures(self) -> Measure:
        """What it measures."""
        return self._measures

    def read(self, at: int) -> Reading:
        """The row that is due at `at`, with that time."""
        if self._shift is None:
            self._shift = at - self._began
        played = at - self._shift
        place = bisect_right(self._times, played) - 1
        over = not self._times or played > self._times[-1]
        if place < 0 or over or played - self._times[place] > HOLD_S:
            return Reading(at, self._id, None, Quality.ABSENT)
        row = self._rows[place]
        return Reading(at, self._id, row.value, row.quality)

    def close(self) -> None:
        """Nothing is held."""


def read_tape(path: Path, station: Station) -> Tape:
    """The tape in a file. Raises InputError with file and line for every fault; nothing is half read."""
    faults = Faults()
    reader = _RowReader({plan.id: plan.measures for plan in station.probes})
    readings: list[Reading] = []
    for line, fields in read_rows(path, HEADER, faults):
        try:
            readings.append(reader.reading(fields))
        except InputError as error:
            for fault in error.faults:
                faults.add(f"{path}:{line}: {fault}")
    faults.raise_any()
    if not readings:
        raise InputError(f"{path}:2: found no rows below the header; allowed: at least one reading")
    return Tape(tuple(readings))


class _RowReader:
    """Rows to readings; remembers what the next row is held against."""

    def __init__(self, measures: Mapping[str, Measure]) -> None:
        self._measures = measures
        self._ids = {probe_id: probe_id for probe_id in measures}  # one text for all rows of a probe
        self._last_at: int | None = None
        self._last_time = ""
        self._last_of: dict[str, int] = {}

    def reading(self, fields: list[str]) -> Reading:
        """The row's reading. Raises InputError without file and line."""
        time, probe, value, fault = fields
        at = self._at(time)
        if probe not in self._ids:
            known = ", ".join(self._ids)
            raise InputError(f"probe: found {shown(probe)}; allowed: a probe of the station: {known}")
        if self._last_of.get(probe) == at:
            raise InputError(
                f"time: found a second row of {probe} at {time}; allowed: one row a probe and time"
            )
        self._last_of[probe] = at
        return self._judged(at, self._ids[probe], value, fault)

    def _at(self, time: str) -> int:
        try:
            at = read_moment(time)
        except ValueError:
            raise InputError(f"time: found {shown(time)}; allowed: {MOMENT_ALLOWED}") from None
        if self._last_at is not None and at < self._last_at:
            raise InputError(f"time: found {time} after {self._last_time}; allowed: rows in time order")
        if at == self._last_at:
            return self._last_at  # the same number object, so that a long tape stays light
        self._last_at, self._last_time = at, time
        return at

    def _judged(self, at: int, probe: str, value: str, fault: str) -> Reading:
        if fault:
            if value:
                found = f"the value {shown(value)} beside the fault {shown(fault)}"
                raise InputError(f"value: found {found}; allowed: one of the two")
            if fault not in FAULTS:
                raise InputError(f"fault: found {shown(fault)}; allowed: nothing, or {', '.join(FAULTS)}")
            return Reading(at, probe, None, FAULTS[fault])
        if not value:
            raise InputError("value: found neither a value nor a fault; allowed: one of the two")
        try:
            return judged(at, probe, self._measures[probe], read_number(value))
        except ValueError:
            raise InputError(f"value: found {shown(value)}; allowed: {NUMBER_ALLOWED}") from None
