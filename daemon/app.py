"""The house: a station at work, put together once for real and for played time."""

import logging
from collections.abc import Mapping, Sequence
from datetime import time

from daemon.assembly import assemble
from daemon.clock import CarefulClock
from daemon.letters.batch_letters import BatchLetters
from daemon.letters.calendar_letters import CalendarLetters
from daemon.letters.nights import NightsHere
from daemon.letters.post_desk import PostDesk
from daemon.letters.scribe import Scribe
from daemon.requests.request_queue import RequestQueue
from daemon.seconds import HOUR_S
from daemon.station import Station
from daemon.store import deeds as deed_store
from daemon.store import done_and_said
from daemon.store import letters as letter_store
from daemon.store import mishaps as mishap_store
from daemon.store import readings as reading_store
from daemon.store import runs as run_store
from daemon.store.file import WritingStore
from daemon.store.letters import LetterRow
from daemon.store.mishaps import CardFailure, Overlooked
from daemon.store.runs import Outage
from daemon.surroundings import Surroundings
from daemon.timetable import Job, Timetable, every_day, every_hour
from daemon.watching.clock_desk import ClockDesk, Mended
from daemon.watching.hourly_judge import HourlyJudge
from daemon.watching.nightly_thinning import NightlyThinning
from daemon.watching.trust_desk import TrustDesk
from sensors.reading import Reading

log = logging.getLogger(__name__)

_THINNING_AT = time(4)


class House:
    """A station at work: what happens at a beat, between beats and at its jobs."""

    def __init__(
        self, station: Station, station_text: str, store: WritingStore, around: Surroundings
    ) -> None:
        """Take up where the store left off. `station_text` is the station file, kept in the store."""
        self._station = station
        self._store = store
        self._around = around
        self.clock = CarefulClock(around.clock)
        self._clocks = ClockDesk(station, store.connection, self.clock)
        with store.transaction():  # a clock put right, and all that follows from it, or nothing
            mended = self._clocks.begin()
            self._make_desks(self.clock.now_s(), anew=mended is not None)
            self._take_up(self.clock.now_s(), station_text, mended)

    def _make_desks(self, now: int, *, anew: bool) -> None:
        station, around, store = self._station, self._around, self._store
        connection, snapshots = store.connection, around.snapshots
        kept = None if anew or snapshots is None else snapshots.found(connection, now)
        desks = assemble(station, connection, now, kept)
        self.beliefs, self._alarms, self._alarm_letters = desks.beliefs, desks.alarms, desks.alarm_letters
        self.care, self._shelf = desks.care, desks.shelf
        self._requests, self.requests = desks.requests, RequestQueue(store, desks.requests, self._think_again)
        self.watch = self._alarms.watch
        self._trust = TrustDesk(station, connection, self.beliefs, self.watch, self._alarms.take, now, kept)
        self._judge = HourlyJudge(
            station,
            connection,
            self.beliefs,
            self.watch,
            around.free_bytes,
            lambda: self.clock.keeper().trusted,
        )
        self._calendar_letters = CalendarLetters(station, connection, self.beliefs)
        self._batch_letters = BatchLetters(station, connection, self.beliefs)
        self._thinning = NightlyThinning(station, store, lambda: self._clocks.is_sure)
        self._scribe = Scribe(
            station, connection, self.beliefs, self.watch, self._batch_letters, around.free_bytes
        )
        nights = around.nights or NightsHere(station, connection, around.folder, around.draw)
        self._post = PostDesk(station, store, self._scribe, around.workers, around.carriers, nights)

    def _take_up(self, now: int, station_text: str, mended: Mended | None) -> None:
        run_store.keep_station_file(self._store.connection, now, station_text)
        if mended is None:
            self._alarms.take_up(now)
        else:
            self._put_right(mended, now)
        self._alarm_letters.damaged_store(now)
        self._post.take_up(now)
        self._last_reading_at = reading_store.newest_at(self._store.connection)
        if mended is None:
            self._stepped(None, now)
        self._timetable = Timetable(self._jobs(), now, self._since(now))

    def beat(self, at: int) -> None:
        """Deeds, readings, beliefs, alarms, jobs and words, whole or not at all; then the post."""
        if self._clocks.is_new_start() or self._clocks.was_set():  # since the loop looked
            self.clock_stepped(at)
            at = self.clock.now_s()
        readings = self._around.bench.sample(at)
        with self._store.transaction():
            if self._clocks.look(at):
                self._work_out_jobs(at)
            self._take_deeds(at)
            self._alarms.judge(self._take_readings(readings))
            self._shelf.pass_time(at)
            self._calendar_letters.absences(at)
            self._do_jobs(at)
            self._post.write_due(at)
        self._around.workers.settle()
        self._post.hand_over(at)
        self._thinning.step(at)

    def between(self, at: int) -> None:
        """Requests from the inbox, finished work of the workers, and jobs due before the next beat."""
        self.requests.serve(self._around.inbox.requests() if self._around.inbox else (), at)
        with self._store.transaction():
            self._calendar_letters.absences(at)  # before the words: what is due with that letter goes in it
            self._do_jobs(at)
            self._post.write_due(at)
        self._around.workers.settle()
        self._post.hand_over(at)

    def clock_stepped(self, at: int) -> None:
        """Remember the step, put right what a wrong clock had stamped, and work out the job times anew."""
        if self._clocks.is_new_start():
            self._start_anew()
            return
        with self._store.transaction():
            if self._clocks.was_set():  # else a beat was quicker to notice
                self._stepped(self._clocks.stepped(at), at)
            self._work_out_jobs(at)

    def _stepped(self, mended: Mended | None, at: int) -> None:
        if mended is not None:
            self._put_right(mended, at)
        elif self._last_reading_at is not None:  # else a clock that was set would look like an outage
            self._last_reading_at = self._clocks.since_set(self._last_reading_at)

    def _start_anew(self) -> None:
        """The machine was started again, as it is in played time: take up as a new process would."""
        with self._store.transaction():
            mended = self._clocks.begin()
            now = self.clock.now_s()
            if mended is not None:
                self._put_right(mended, now)
            elif not self.clock.keeper().settled:
                self._think_again(now)
            self._work_out_jobs(now)

    def _think_again(self, now: int, write_at: Sequence[int] = ()) -> None:
        """All that is held in memory of times, anew from the store."""
        self.beliefs.rebuild([vessel.id for vessel in self._station.vessels], now, write_at)
        self.watch.forget()
        self._trust.take_up(now)
        self._alarms.take_up(now)
        self._calendar_letters.look_again()
        self._last_reading_at = reading_store.newest_at(self._store.connection)

    def _put_right(self, mended: Mended, now: int) -> None:
        """What follows from other times: beliefs, estimates, alarms, an outage, a letter where one is due."""
        connection, began = self._store.connection, mended.began
        hours = list(range(began // HOUR_S * HOUR_S + HOUR_S, now + 1, HOUR_S))
        deeds = [deed.at for deed in deed_store.between(connection, began - 1, now)]
        before = [moment - 1 for moment in deeds]
        self._post.clock_moved(mended.step_s)
        self._think_again(now, sorted({*hours, *deeds, *before}))
        for hour in hours:
            done_and_said.begin_job(connection, "estimates", done_and_said.slot_of(hour), now)
        self._alarms.clock_was_wrong(began, now)
        self._alarm_letters.due_anew(mended.held, now)
        self._clocks.due_anew(mended.held, now)
        if mended.outage is not None:
            self._alarm_letters.outage(mended.outage, now)
        if mended.worth_a_letter:
            self._alarm_letters.clock_put_right(now)

    def _work_out_jobs(self, now: int) -> None:
        """The times of the jobs by a clock that is another, or is sure now."""
        self._timetable.work_out(now, self._since(now))

    def _since(self, now: int) -> int:
        """From when on a missed job is made up for: the first reading; now, where nobody knows the time."""
        first = reading_store.oldest_at(self._store.connection) if self._clocks.is_sure else None
        return now if first is None else first

    def next_job_s(self) -> float:
        """When the next job, or a letter that was announced, is due, Unix seconds by the station's clock.

        Now, where somebody waits for an answer.
        """
        if not self.requests.is_empty:
            return self.clock.now_s()
        return min(self._timetable.next_due_s(), self._calendar_letters.next_s(self.clock.now_s()))

    @property
    def advised_above_ml(self) -> Mapping[str, float]:
        """How far above the mark the last leave letter advised to fill, by vessel."""
        return self._scribe.advised_above_ml

    @property
    def clock_is_sure(self) -> bool:
        """Whether the clock is known to be right, and all that a wrong one had stamped is put right."""
        return self._clocks.is_sure

    def letters_sent_after(self, at: int) -> list[LetterRow]:
        """Letters that went out later than a moment."""
        return letter_store.sent_between(self._store.connection, at, self.clock.now_s())

    def write_estimates(self, at: int) -> None:
        """Put what is believed now into the store."""
        with self._store.transaction():
            self.beliefs.write(self.beliefs.watched(), at)

    def keep_snapshot(self, at: int | None = None) -> None:
        """Keep what is believed and trusted, so that the next start is short; after a beat, where it is due.

        `at` is the beat's moment; None: now, due or not.
        """
        snapshots, moment = self._around.snapshots, self.clock.now_s() if at is None else at
        if snapshots is not None and (at is None or snapshots.is_due(at)):
            snapshots.take(self._store.connection, moment, self.beliefs, self._trust)

    def overlook_file(self, overlooked: Overlooked | None) -> None:
        """Tell of a station file that is not taken, once for the same faults; None: it is taken."""
        now = self.clock.now_s()
        with self._store.transaction() as connection:
            if overlooked is None:
                mishap_store.forget_overlooked(connection)
            elif mishap_store.keep_overlooked(connection, overlooked, now):
                self._alarm_letters.storage("station file", now)

    def card_is_well(self, failure: CardFailure, was_said: bool) -> None:
        """Tell that the disk takes writes again; at once, where its failure was said at once."""
        now = self.clock.now_s()
        with self._store.transaction() as connection:
            if mishap_store.keep_card_failure(connection, failure, now):
                self._alarm_letters.storage("card", now, at_once=was_said)

    def record_is_full(self, full: bool) -> None:
        """Tell that boxes for the centre are given up, once until there is room for them again."""
        now = self.clock.now_s()
        with self._store.transaction() as connection:
            if not full:
                mishap_store.forget_record_full(connection)
            elif mishap_store.keep_record_full(connection, now):
                self._alarm_letters.storage("record", now)

    def _take_deeds(self, at: int) -> None:
        for deed in self._around.played_deeds(at) if self._around.played_deeds else ():
            self.care.record(deed, at)

    def _take_readings(self, readings: Sequence[Reading]) -> Sequence[Reading]:
        """Keep readings and what follows from them; the readings as far as they are trusted."""
        if not readings:
            return readings
        connection = self._store.connection
        last, first = self._last_reading_at, readings[0].at
        if last is not None and first - last > self._station.off_after_s:
            outage = Outage(last, first, self.clock.keeper().trusted)
            run_store.add_outage(connection, outage)
            self._alarm_letters.outage(outage, first)
        self._last_reading_at = readings[-1].at
        return self._trust.take(readings)

    def _do_jobs(self, at: int) -> None:
        for job, due_at in self._timetable.due(at):
            if job.name == "nightly" and not self._clocks.nightly_may_go(at):
                continue
            if done_and_said.begin_job(self._store.connection, job.name, done_and_said.slot_of(due_at), at):
                job.work(due_at)

    def _jobs(self) -> list[Job]:
        zone = self._station.timezone
        return [
            Job("estimates", every_hour(), self._hourly),
            Job("nightly", every_day(self._station.post.nightly_at, zone), self._calendar_letters.night),
            Job("thinning", every_day(_THINNING_AT, zone), self._thinning.begin),
        ]

    def _hourly(self, _due_at: int) -> None:
        now = self.clock.now_s()
        self.beliefs.write(self.beliefs.watched(), now)
        self._alarms.take(self._judge.judge(now))
        self._alarm_letters.still_cold(now)
        self._calendar_letters.returning(now)
        self._batch_letters.look(now)
