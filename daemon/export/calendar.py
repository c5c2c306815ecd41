"""What is expected and due at a station, as a calendar: by the newest estimates, while people are there.

Of a vessel only what its stage promises: nothing where no batch runs, and no water or hatch where most was
drawn off.
"""

import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta
from uuid import UUID, uuid5

from daemon.alarms.letter_timing import is_quiet
from daemon.export.ical import CalendarEntry, calendar_bytes
from daemon.hours import attended_spans, local_day, moment, next_attended
from daemon.letters.conversions import local, setting
from daemon.letters.night_record import night_record
from daemon.letters.promise import next_planned
from daemon.seconds import HOUR_S
from daemon.stages import STAGES, Stage, StageRule
from daemon.station import Station
from daemon.store import estimates as estimate_store
from reports.export import calendar_words
from reports.export.calendar_words import EntryWords
from reports.records import NightRecord, Setting, VesselNight
from reports.times import believed_moment

# Made up once, so that an entry keeps its name in whichever calendar it stands.
_OURS = UUID("7f0b3f0c-5d5e-4f86-9f0e-6d1f3c5b8a21")
_STEP_S = 1800  # a believed moment is said in half hours; so much before people leave is early enough [P]
_DEED_S = 900
_HALF_OUT = 0.5
_MIDNIGHT = time(0)


def calendar(station: Station, connection: sqlite3.Connection, at: int) -> bytes:
    """The calendar as it stands at `at` (Unix s), iCalendar."""
    return calendar_bytes(station.name, entries(station, connection, at))


def entries(station: Station, connection: sqlite3.Connection, at: int) -> list[CalendarEntry]:
    """What is expected and due from `at` (Unix s) on, in time order."""
    record = night_record(station, connection, at)
    place = setting(station, connection, at, clock_sure=record.clock_sure)
    found = [
        *_of_vessels(station, connection, record, place, at),
        *_of_station(station, connection, place, at),
    ]
    return sorted(found, key=lambda entry: (_begins(station, entry), entry.uid))


def _begins(station: Station, entry: CalendarEntry) -> int:
    if isinstance(entry.began, int):
        return entry.began
    return moment(entry.began, _MIDNIGHT, station.timezone)


def _of_vessels(
    station: Station, connection: sqlite3.Connection, record: NightRecord, place: Setting, at: int
) -> Iterator[CalendarEntry]:
    for vessel in record.vessels:
        newest = estimate_store.latest(connection, vessel.vessel, at).get("loss_ml")
        rule = STAGES[Stage(vessel.stage)]
        if vessel.batch_set_at is None or newest is None:
            continue
        yield from _Promises(station, vessel, rule, place, newest[0], at).entries()


@dataclass(frozen=True, slots=True)
class _Promises:
    """What a vessel with a running batch promises at `at` (Unix s), as believed at `believed_at`."""

    station: Station
    vessel: VesselNight
    rule: StageRule
    place: Setting
    believed_at: int
    at: int

    def entries(self) -> Iterator[CalendarEntry]:
        yield from self._hatch()
        yield from self._harvest()
        yield from self._water()

    def _hatch(self) -> Iterator[CalendarEntry]:
        half, hatched = self.vessel.hatch_t50, self.vessel.hatched_fraction
        is_out = bool(hatched) and hatched[-1].range.p10 > _HALF_OUT
        if not self.rule.hatch_ahead or half is None or half.p10 is None or half.p50 is None or is_out:
            return
        began, ended = _half_hours(half.p10), _half_hours(half.p90 or half.p50)
        if ended > self.at:
            words = calendar_words.half_hatched(self._as_of(), self.vessel, half)
            yield self._entry("hatch", began, max(ended, began + _STEP_S), words)

    def _harvest(self) -> Iterator[CalendarEntry]:
        opens, closes = self.vessel.harvest_opens_at, self.vessel.harvest_closes_at
        ahead = self.vessel.stage in (Stage.SET, Stage.HATCHING, Stage.HATCHED, Stage.GROWING)
        if not ahead or opens is None or closes is None or opens.p50 is None or closes.p50 is None:
            return
        began, ended = _half_hours(opens.p50), _half_hours(closes.p50)
        if ended <= self.at or ended <= began:
            return
        chance = first_chance(self.station, max(began, self.at), ended)
        place = self._as_of()
        words = calendar_words.harvest_window(place, self.vessel, opens, closes, seen=chance is not None)
        yield self._entry("harvest-window", began, ended, words)
        if chance is not None:
            due = calendar_words.harvest_due(place, self.vessel)
            yield self._entry("harvest", chance, chance + _DEED_S, due, busy=True)

    def _water(self) -> Iterator[CalendarEntry]:
        low = self.vessel.low_mark_at
        if not self.rule.keeps_water or low is None or low.p10 is None:
            return
        chance = last_chance(self.station, self.at, _half_hours(low.p10))
        if chance is not None:
            words = calendar_words.filling_due(self._as_of(), self.vessel, low)
            yield self._entry("water", chance, chance + _DEED_S, words, busy=True)

    def _as_of(self) -> Setting:
        return replace(self.place, written_at=local(self.station, self.believed_at))

    def _entry(
        self, what: str, began: int, ended: int, words: EntryWords, *, busy: bool = False
    ) -> CalendarEntry:
        set_at = 0 if self.vessel.batch_set_at is None else int(self.vessel.batch_set_at.timestamp())
        return CalendarEntry(
            uid=_uid(self.station, what, self.vessel.vessel, str(set_at)),
            began=began,
            ended=ended,
            title=words.title,
            text=words.text,
            revised_at=self.believed_at,
            sequence=max(0, self.believed_at - set_at) // 60,
            busy=busy,
        )


def _of_station(
    station: Station, connection: sqlite3.Connection, place: Setting, at: int
) -> Iterator[CalendarEntry]:
    """The next planned letter, and the days on which nobody is there."""
    hour = at // HOUR_S * HOUR_S  # so that it is the same all through the hour
    planned = next_planned(station, connection, at)
    if planned is not None:
        words = calendar_words.letter_due(place, planned.kind)
        uid = _uid(station, "letter", planned.kind, str(planned.at))
        yield CalendarEntry(uid, planned.at, None, words.title, words.text, hour)
    for span in station.away:
        if span.last >= local_day(at, station.timezone):
            words = calendar_words.nobody_there(place)
            uid = _uid(station, "away", span.first.isoformat(), span.last.isoformat())
            yield CalendarEntry(uid, span.first, span.last + timedelta(days=1), words.title, words.text, hour)


def _uid(station: Station, *parts: str) -> str:
    return str(uuid5(_OURS, "\n".join((station.name, *parts))))


def _half_hours(at: datetime) -> int:
    return int(believed_moment(at).timestamp())


def first_chance(station: Station, began: int, ended: int) -> int | None:
    """The first moment of a stretch (Unix s) at which somebody is there and it is not quiet; None: none."""
    for since, until in attended_spans(station, began, ended):
        then = -(-since // _DEED_S) * _DEED_S  # so that it stays where it is while time goes on
        while then < until:
            if not is_quiet(station, then):
                return then
            then += _STEP_S
    return None


def last_chance(station: Station, at: int, by: int) -> int | None:
    """The last moment to do something by `by` that is not put off to people's leaving, Unix s.

    Where nobody is there until then, when somebody next is; None where nobody ever comes.
    """
    for since, until in reversed(attended_spans(station, at, max(by, at))):
        then = max(since, (until - _STEP_S) // _DEED_S * _DEED_S)
        while then >= since:
            if not is_quiet(station, then):
                return then
            then -= _STEP_S
    back = next_attended(station, at)
    return None if back is None else first_chance(station, back, back + 24 * HOUR_S)
