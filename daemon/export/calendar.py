"""What is expected and due at a station, as a calendar: by the newest estimates, while people are there.

Of a vessel only what its stage promises: nothing where no batch runs, and no water or hatch where most was
drawn off. What is the same of several vessels is one entry, which bears the name of the first.
"""

import sqlite3
from collections.abc import Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta
from typing import TypeVar
from uuid import UUID, uuid5

from daemon.export.chances import first_chance, last_chance
from daemon.export.ical import REMINDED_S, CalendarEntry, calendar_bytes
from daemon.hours import local_day, moment
from daemon.kept_starts import kept_plans
from daemon.letters.conversions import local, setting
from daemon.letters.night_record import night_record
from daemon.letters.promise import next_planned
from daemon.seconds import HOUR_S
from daemon.stages import STAGES, Stage, StageRule
from daemon.station import Station
from daemon.store import estimates as estimate_store
from reports.export import calendar_words
from reports.export.calendar_words import EntryWords, LowMark
from reports.letters.pouring import takes_brine
from reports.records import NightRecord, Setting, VesselNight
from reports.starts.calendar_words import kept_entry
from reports.times import believed_moment

# Made up once, so that an entry keeps its name in whichever calendar it stands.
_OURS = UUID("7f0b3f0c-5d5e-4f86-9f0e-6d1f3c5b8a21")
_LEAST_S = 1800  # a believed moment is said in half hours
_DEED_S = 900
_HALF_OUT = 0.5
_MIDNIGHT = time(0)
_HARVESTED_YET = frozenset({Stage.SET, Stage.HATCHING, Stage.HATCHED, Stage.GROWING})

_One = TypeVar("_One")


@dataclass(frozen=True, slots=True)
class _Running:
    """A vessel with a running batch, what its stage promises, and when that was believed (Unix s)."""

    vessel: VesselNight
    rule: StageRule
    believed_at: int


def calendar(station: Station, connection: sqlite3.Connection, at: int) -> bytes:
    """The calendar as it stands at `at` (Unix s), iCalendar."""
    return calendar_bytes(station.name, entries(station, connection, at))


def entries(station: Station, connection: sqlite3.Connection, at: int) -> list[CalendarEntry]:
    """What is expected and due from `at` (Unix s) on, in time order."""
    record = night_record(station, connection, at)
    place = setting(station, connection, at, clock_sure=record.clock_sure)
    vessels = _Vessels(station, place, list(_running(connection, record, at)), at)
    planned = _planned(station, connection, place, at)
    found = [*vessels.entries(), *planned, *_of_station(station, connection, place, at)]
    return sorted(found, key=lambda entry: (_begins(station, entry), entry.uid))


def _begins(station: Station, entry: CalendarEntry) -> int:
    if isinstance(entry.began, int):
        return entry.began
    return moment(entry.began, _MIDNIGHT, station.timezone)


def _running(connection: sqlite3.Connection, record: NightRecord, at: int) -> Iterator[_Running]:
    for vessel in record.vessels:
        newest = estimate_store.latest(connection, vessel.vessel, at).get("loss_ml")
        if vessel.batch_set_at is not None and newest is not None:
            yield _Running(vessel, STAGES[Stage(vessel.stage)], newest[0])


class _Vessels:
    """What the vessels promise at `at` (Unix s)."""

    def __init__(self, station: Station, place: Setting, running: Sequence[_Running], at: int) -> None:
        self._station, self._place, self._running, self._at = station, place, running, at

    def entries(self) -> Iterator[CalendarEntry]:
        yield from self._hatches()
        for one in self._running:
            yield from self._harvest(one)
        yield from self._fillings()

    def _hatches(self) -> Iterator[CalendarEntry]:
        ahead = ((_half_ahead(one), one) for one in self._running)
        spans = [(span, one) for span, one in ahead if span is not None and span[2] > self._at]
        for (began, _, ended), alike in _grouped(spans):
            half = alike[0].vessel.hatch_t50
            if half is not None:
                vessels = [one.vessel for one in alike]
                words = calendar_words.half_hatched(self._as_of(alike), vessels, half)
                yield self._entry("hatch", began, max(ended, began + _LEAST_S), words, alike)

    def _harvest(self, one: _Running) -> Iterator[CalendarEntry]:
        vessel = one.vessel
        opens, closes = vessel.harvest_opens_at, vessel.harvest_closes_at
        if vessel.stage not in _HARVESTED_YET or opens is None or closes is None:
            return
        if opens.p50 is None or closes.p50 is None:
            return
        began, ended = _half_hour(opens.p50), _half_hour(closes.p50)
        if ended <= self._at or ended <= began:
            return
        chance = first_chance(self._station, max(began, self._at), ended)
        place = self._as_of([one])
        words = calendar_words.harvest_window(place, vessel, opens, closes, seen=chance is not None)
        yield self._entry("harvest-window", began, ended, words, [one])
        if chance is not None:
            due = calendar_words.harvest_due(place, vessel)
            yield self._entry("harvest", chance, chance + _DEED_S, due, [one], busy=True)

    def _fillings(self) -> Iterator[CalendarEntry]:
        """One round a day, at its earliest chance; brine apart."""
        chances = [
            (chance, one)
            for one in self._running
            if one.rule.keeps_water and (chance := self._last_chance(one)) is not None
        ]
        keyed = [((self._day(chance), takes_brine(one.vessel)), (chance, one)) for chance, one in chances]
        for _, round_ in _grouped(keyed):
            chance, together = min(each for each, _ in round_), [one for _, one in round_]
            low = [LowMark(one.vessel, one.vessel.low_mark_at) for one in together if one.vessel.low_mark_at]
            words = calendar_words.filling_due(self._as_of(together), low)
            yield self._entry("water", chance, chance + _DEED_S, words, together, busy=True)

    def _last_chance(self, one: _Running) -> int | None:
        low = one.vessel.low_mark_at
        if low is None or low.p10 is None:
            return None
        return last_chance(self._station, self._at, _half_hour(low.p10))

    def _day(self, at: int) -> str:
        return local_day(at, self._station.timezone).isoformat()

    def _as_of(self, alike: Sequence[_Running]) -> Setting:
        believed_at = max(one.believed_at for one in alike)
        return replace(self._place, written_at=local(self._station, believed_at))

    def _entry(
        self,
        what: str,
        began: int,
        ended: int,
        words: EntryWords,
        alike: Sequence[_Running],
        *,
        busy: bool = False,
    ) -> CalendarEntry:
        first, believed_at = alike[0].vessel, max(one.believed_at for one in alike)
        set_at = 0 if first.batch_set_at is None else int(first.batch_set_at.timestamp())
        return CalendarEntry(
            uid=_uid(self._station, what, first.vessel, str(set_at)),
            began=began,
            ended=ended,
            title=words.title,
            text=words.text,
            revised_at=believed_at,
            sequence=max(0, believed_at // 60),
            busy=busy,
        )


def _half_ahead(one: _Running) -> tuple[int, int, int] | None:
    """When half of a hatch is believed to come: the earliest, the likely and the latest; None: no more."""
    half, hatched = one.vessel.hatch_t50, one.vessel.hatched_fraction
    is_out = bool(hatched) and hatched[-1].range.p10 > _HALF_OUT
    if not one.rule.hatch_ahead or half is None or half.p10 is None or half.p50 is None or is_out:
        return None
    return _half_hour(half.p10), _half_hour(half.p50), _half_hour(half.p90 or half.p50)


_Key = TypeVar("_Key", bound=Hashable)


def _grouped(keyed: Iterable[tuple[_Key, _One]]) -> Iterator[tuple[_Key, list[_One]]]:
    """What has one key together, in the order in which the keys came."""
    groups: dict[_Key, list[_One]] = {}
    for key, one in keyed:
        groups.setdefault(key, []).append(one)
    yield from groups.items()


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


def _planned(
    station: Station, connection: sqlite3.Connection, place: Setting, at: int
) -> Iterator[CalendarEntry]:
    """What is to be done for starts that somebody keeps, and their lessons."""
    hour = at // HOUR_S * HOUR_S
    for plan in kept_plans(station, connection, at):
        set_at, lesson = int(plan.set_at.timestamp()), plan.lesson
        moments = {"set": (set_at, set_at + _LEAST_S)}
        moments["lesson"] = int(lesson.began.timestamp()), int(lesson.ended.timestamp())
        if plan.water_at is not None:
            stands = int(plan.water_at.timestamp())
            moments["water"] = stands, stands + _LEAST_S
        for kind, (began, ended) in moments.items():
            words = kept_entry(place, plan, kind)
            uid = _uid(station, "planned", str(plan.number), kind)
            busy = kind != "lesson"
            yield CalendarEntry(
                *(uid, began, ended, words.title, words.text, hour, hour // HOUR_S),
                busy=busy,
                alarm_s=REMINDED_S if busy else None,
            )


def _uid(station: Station, *parts: str) -> str:
    return str(uuid5(_OURS, "\n".join((station.name, *parts))))


def _half_hour(at: datetime) -> int:
    return int(believed_moment(at).timestamp())
