"""The rows of each table, from the store: one at a time, so that months of readings stay light."""

import sqlite3
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass

from daemon.care.log import format_detail
from daemon.export.cells import BothClocks, guarded, number
from daemon.export.units import MEASURES, MOMENT, QUANTITIES
from daemon.station import Station, Vessel
from daemon.store import deeds as deed_store
from daemon.store import estimates as estimate_store
from daemon.store import letters as letter_store
from daemon.store import readings as reading_store
from sensors.reading import Reading

Row = list[str]

# Before and after all that a store may hold (daemon/store/row_rules.py).
EVER = (-8_589_934_592, 8_589_934_592)


@dataclass(frozen=True, slots=True)
class ExportPart:
    """Which part of the records: from `began` to `ended` (Unix s), both within, of one vessel or of all."""

    began: int = EVER[0]
    ended: int = EVER[1]
    vessel: Vessel | None = None

    @property
    def whole(self) -> bool:
        """Whether it is all there is."""
        return (self.began, self.ended, self.vessel) == (*EVER, None)

    def holds(self, vessel: str) -> bool:
        """Whether a vessel is in it."""
        return self.vessel is None or self.vessel.id == vessel


class Rows:
    """Rows of a part of a station's records; `probes_seen` and `vessels_seen` stood in them."""

    def __init__(self, station: Station, connection: sqlite3.Connection, part: ExportPart) -> None:
        """Of this part."""
        self._station = station
        self._connection = connection
        self._part = part
        self._clock = BothClocks(station.timezone)
        self.probes_seen: set[str] = set()
        self.vessels_seen: set[str] = set()

    def readings(self) -> Iterator[Row]:
        """In time order."""
        part = self._part
        every = reading_store.between(self._connection, part.began - 1, part.ended)
        return self.of_readings(every)

    def of_readings(self, readings: Iterable[Reading]) -> Iterator[Row]:
        """Rows of these readings, without those of other vessels' probes."""
        measures = {plan.id: plan.measures.value for plan in self._station.probes}
        only = None if self._part.vessel is None else set(self._part.vessel.probes)
        for reading in readings:
            if only is not None and reading.probe not in only:
                continue
            self.probes_seen.add(reading.probe)
            what = measures.get(reading.probe, "")
            yield [
                *self._clock.cells(reading.at),
                *(guarded(reading.probe), what, MEASURES.get(what, "")),
                *(number(reading.value), reading.quality.value),
            ]

    def estimates(self) -> Iterator[Row]:
        """By vessel and quantity, each in time order."""
        part = self._part
        rows = estimate_store.between(self._connection, part.began, part.ended)
        for at, vessel, quantity, *believed in rows:
            if not part.holds(vessel):
                continue
            self.vessels_seen.add(vessel)
            unit = QUANTITIES.get(quantity, "")
            yield [
                *self._clock.cells(at),
                *(guarded(vessel), guarded(quantity), unit),
                *(number(value) for value in believed),
                *self._moments(believed if unit == MOMENT else [None] * 3),
            ]

    def deeds(self) -> Iterator[Row]:
        """In the order of the deeds' own times, the withdrawn ones too."""
        part = self._part
        for entry in deed_store.every(self._connection):
            deed = entry.deed
            if not part.holds(deed.vessel) or not part.began <= deed.at <= part.ended:
                continue
            self.vessels_seen.add(deed.vessel)
            yield [
                *(str(entry.id), *self._clock.cells(deed.at), guarded(deed.vessel), deed.deed),
                *(number(deed.amount), deed.unit, guarded(format_detail(deed))),
                *self._moments([entry.recorded_at, entry.withdrawn_at]),
                _whole(entry.replaces),
            ]

    def letters(self) -> Iterator[Row]:
        """In the order in which they were begun: about a vessel, its probes or the station."""
        part = self._part
        theirs = None if part.vessel is None else {part.vessel.id, *part.vessel.probes}
        for row in letter_store.between(self._connection, part.began - 1, part.ended):
            if theirs is not None and row.about and not theirs.intersection(row.about):
                continue
            yield [
                *(str(row.id), _whole(row.number), *self._clock.cells(row.at)),
                *(guarded(row.kind), guarded(row.subject), row.state, str(row.attempts)),
                *self._moments([row.due_at, row.written_at, row.sent_at]),
                *(guarded(" ".join(row.about)), _whole(row.merged_into)),
            ]

    def probes(self) -> Iterator[Row]:
        """Those of the part, and after them those that only old readings know."""
        only = None if self._part.vessel is None else set(self._part.vessel.probes)
        plans = [plan for plan in self._station.probes if only is None or plan.id in only]
        for plan in plans:
            vessels = [vessel.id for vessel in self._station.vessels if plan.id in vessel.probes]
            measures = plan.measures.value
            driver, beside = guarded(plan.driver), guarded(" ".join(vessels))
            yield [guarded(plan.id), measures, MEASURES[measures], driver, beside]
        yield from _unknown(self.probes_seen, [plan.id for plan in plans], 5)

    def vessels(self) -> Iterator[Row]:
        """Those of the part, and after them those that only old records know."""
        vessels = [vessel for vessel in self._station.vessels if self._part.holds(vessel.id)]
        for one in vessels:
            sizes = (one.mark_ml, one.low_ml, one.brim_ml, one.surface_cm2, one.cold_c, one.hot_c)
            yield [
                *(guarded(one.id), one.kind, str(one.count)),
                *(number(size) for size in sizes),
                guarded(" ".join(one.probes)),
            ]
        yield from _unknown(self.vessels_seen, [vessel.id for vessel in vessels], 10)

    def _moments(self, moments: Sequence[float | None]) -> Row:
        return [cell for at in moments for cell in self._clock.cells(at)]


def _unknown(seen: Collection[str], known: Collection[str], columns: int) -> Iterator[Row]:
    for one in sorted(set(seen).difference(known)):
        yield [guarded(one), *[""] * (columns - 1)]


def _whole(value: int | None) -> str:
    return "" if value is None else str(value)
