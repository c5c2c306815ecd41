"""Holds every probe to what it can know before anything is made of its readings."""

import sqlite3
from collections.abc import Callable, Mapping, Sequence
from functools import partial
from zoneinfo import ZoneInfo

from daemon.alarms.conditions import AlarmKey
from daemon.alarms.lifecycle import ACTIVE, State
from daemon.alarms.watch import Change, Watch
from daemon.hours import in_daily_hours
from daemon.seconds import DAY_S
from daemon.station import DailyHours, Station, Vessel
from daemon.store import alarms as alarm_store
from daemon.store import doubts as doubt_store
from daemon.store import readings as reading_store
from daemon.watching.beliefs import Beliefs
from daemon.watching.snapshot.kept import TRUST, Kept, KeptPart
from sensors.reading import Measure, Quality, Reading
from sensors.trust.judge import Judge, Watched, as_read
from sensors.trust.revision import Revision

# What a probe did before the four days ahead of its last trusted reading no longer bears on it: what its
# vessel does under the lamp and beside the room is learned in three, and air is known within one.
_LOOKS_BACK_S = 4 * DAY_S
_FORGOTTEN_S = 35 * DAY_S  # longer than a school holiday; more to judge at a start than is worth its time


class TrustDesk:
    """Judges a beat's readings, and puts right what was stored, believed and counted before.

    State is a function of the readings in the store: after a restart they are judged anew.
    """

    def __init__(
        self,
        station: Station,
        connection: sqlite3.Connection,
        beliefs: Beliefs,
        watch: Watch,
        take: Callable[[Sequence[Change], int], None],
        at: int,
        kept: Kept | None = None,
    ) -> None:
        """Judge what the store holds up to `at`. `take` is given the changes that follow, and now.

        What `kept` holds is not judged anew.
        """
        self._station = station
        self._connection = connection
        self._beliefs = beliefs
        self._watch = watch
        self._take = take
        self._watched = watched_in(station)
        self.take_up(at, kept)

    def take_up(self, at: int, kept: Kept | None = None) -> None:
        """Judge anew what the store holds up to `at`, or go on from what was kept."""
        found = kept.part(TRUST, self._given()) if kept is not None else None
        if kept is not None and isinstance(found, Judge):
            self._trust, since = found, kept.at
        else:
            self._trust, since = Judge(self._watched, self._station.sample_every_s), self._since(at)
        stored = reading_store.between(self._connection, since, at)
        self._trust.judge([as_read(reading) for reading in stored])
        self._doubted = {
            probe: doubt for probe, (_, doubt) in doubt_store.standing(self._connection, at).items()
        }

    def parts(self) -> Mapping[str, KeptPart]:
        """What is known of the probes, to be kept."""
        return {TRUST: KeptPart(self._trust, self._given())}

    def _given(self) -> Mapping[str, object]:
        return {f"lit {plan.probe}": plan.lit for plan in self._watched if plan.lit is not None}

    def take(self, readings: Sequence[Reading]) -> Sequence[Reading]:
        """Judge new readings, store them, and feed them to the beliefs; the readings as judged."""
        judged = self._trust.judge(readings)
        reading_store.add(self._connection, judged.readings)
        for revision in judged.revisions:
            reading_store.requalify(
                self._connection, revision.probe, revision.since, revision.until, revision.quality
            )
        self._beliefs.feed(judged.readings)
        for revision in judged.revisions:
            self._follow(revision, judged.readings[0].at, judged.readings[-1].at)
        self._keep_doubts(judged.readings[-1].at)
        return judged.readings

    def _keep_doubts(self, at: int) -> None:
        doubts = dict(self._trust.doubts)
        for probe in sorted({*doubts, *self._doubted}):
            doubt = doubts.get(probe, "")
            if doubt != self._doubted.get(probe, ""):
                doubt_store.add(self._connection, at, probe, doubt)
        self._doubted = doubts

    def _since(self, at: int) -> int:
        """From when on readings must be judged again to come to the same state."""
        last_good = [
            newest.at
            for plan in self._station.probes
            if plan.measures is Measure.WATER_C
            and (newest := reading_store.latest(self._connection, plan.id, good=True)) is not None
        ]
        return max(at - _FORGOTTEN_S, min([at, *last_good]) - _LOOKS_BACK_S)

    def _follow(self, revision: Revision, began: int, at: int) -> None:
        vessels = self._beliefs.revise(revision.probe, revision.since, revision.until, at)
        if revision.quality is Quality.GOOD:
            self._make_up(revision, began, at)
        else:
            for vessel in vessels:
                self._take_back(vessel, revision, at)

    def _make_up(self, revision: Revision, before: int, at: int) -> None:
        """What turned out to be water counts for the alarms as if it had been trusted at once."""
        stored = reading_store.between(self._connection, revision.since - 1, min(revision.until, before - 1))
        self._take(self._watch.readings([r for r in stored if r.probe == revision.probe]), at)

    def _take_back(self, vessel: str, revision: Revision, at: int) -> None:
        """Cold and hot forget what they counted, raised or cleared since the probe was not to be trusted."""
        changes = []
        for condition in ("cold", "hot"):
            key = AlarmKey(vessel, condition)
            alarm = self._watch.alarm(key)
            raised_by_it = alarm.active and alarm.since is not None and alarm.since >= revision.since
            if raised_by_it or not alarm.active:
                state = State.NORMAL if raised_by_it else alarm.state
                self._watch.restore(key, state, revision.until, revision.until, None)
            if raised_by_it:
                changes.append(Change(revision.until, key, State.NORMAL, None))
            elif alarm.state in (State.NORMAL, State.RETURNED):
                changes += self._raise_again(key, revision)
        self._take(changes, at)

    def _raise_again(self, key: AlarmKey, revision: Revision) -> list[Change]:
        """An alarm that only air has cleared stands on, as it was last trusted; it does not ring for that."""
        before = alarm_store.standing(self._connection, revision.since - 1)
        row = next((r for r in before if AlarmKey(r.vessel, r.condition, r.probe) == key), None)
        if row is None or row.since is None or State(row.state) not in ACTIVE:
            return []
        seen = self._watch.alarm(key).state is State.NORMAL  # by whom it was acknowledged when it had cleared
        state = State.ACKNOWLEDGED if seen else State(row.state)
        lowest_c, highest_c = reading_store.extremes(self._connection, revision.probe, row.since)
        extreme_c = lowest_c if key.condition == "cold" else highest_c
        self._watch.restore(key, state, revision.until, row.since, extreme_c, rung_at=extreme_c)
        return [Change(revision.until, key, state, row.value, row.since)]


def trust_of(station: Station) -> Judge:
    """A judge for a station's probes, as its file describes them."""
    return Judge(watched_in(station), station.sample_every_s)


def watched_in(station: Station) -> list[Watched]:
    """A station's probes as a judge is told of them."""
    watched = []
    for plan in station.probes:
        vessel = next((v for v in station.vessels if plan.id in v.probes), None)
        if vessel is None or plan.measures is not Measure.WATER_C:
            watched.append(Watched(plan.id, plan.measures))
            continue
        room = station.probe_of(vessel, Measure.ROOM_C)
        room_id = room.id if room is not None else _any_room(station)
        watched.append(
            Watched(
                plan.id,
                plan.measures,
                vessel.mark_ml,
                room_id,
                _neighbours(station, vessel, plan.id),
                partial(_in_lamp_hours, vessel.lamp, station.timezone) if vessel.lamp else None,
                vessel.heater_c,
            )
        )
    return watched


def _in_lamp_hours(lamp: Sequence[DailyHours], zone: ZoneInfo, at: int) -> bool:
    return any(in_daily_hours(hours, at, zone) for hours in lamp)


def _any_room(station: Station) -> str | None:
    """A station is one room: another vessel's room probe serves as well."""
    return next((plan.id for plan in station.probes if plan.measures is Measure.ROOM_C), None)


def _neighbours(station: Station, vessel: Vessel, probe: str) -> tuple[str, ...]:
    """Water probes of the vessels that have the same lamp hours."""
    alike = {other for v in station.vessels if v.lamp == vessel.lamp for other in v.probes}
    return tuple(
        plan.id
        for plan in station.probes
        if plan.measures is Measure.WATER_C and plan.id in alike and plan.id != probe
    )
