"""Keeps account of whether the station's time is right, and puts right what a wrong clock has stamped."""

import sqlite3
from dataclasses import dataclass, replace

from daemon.alarms.letter_timing import planned_due_at
from daemon.clock import CarefulClock
from daemon.letter_kinds import UNPLANNED
from daemon.seconds import DAY_S, HOUR_S
from daemon.station import Station
from daemon.store import boots as boot_store
from daemon.store import letters as letter_store
from daemon.store import readings as reading_store
from daemon.store import runs as run_store
from daemon.store.boots import Boot
from daemon.store.runs import Outage
from daemon.store.time_correction import correct_times
from daemon.watching.moved_times import EVER, Moved, move_all

STEP_S = 5  # the wall clock may be slewed; a larger move is a step
_BATTERY_OFF_S = 60  # a battery clock drifts; one that is further off was wrong from the start
_UNSURE_NIGHTLY_S = DAY_S
_WORTH_A_LETTER_S = HOUR_S


@dataclass(frozen=True, slots=True)
class Mended:
    """What was done to the store when a clock was put right: its stretch, by its right times, and the rest.

    `began` is when the stretch began. `held` are letters of it that wait for a moment which a wrong clock had
    chosen; `worth_a_letter` says whether people are to hear of it.
    """

    began: int
    step_s: int
    outage: Outage | None
    held: tuple[int, ...]
    worth_a_letter: bool


class ClockDesk:
    """One station's account of its starts. All it writes stands in the caller's transaction."""

    def __init__(self, station: Station, connection: sqlite3.Connection, clock: CarefulClock) -> None:
        """Before anything else asks `clock`, `begin` must be called."""
        self._station = station
        self._connection = connection
        self._clock = clock
        self._boot = Boot("", 0, 0.0, trusted=True)
        self._left_s = 0

    def begin(self) -> Mended | None:
        """Take up a start of the machine, a new one or one that an earlier process began.

        Where the clock was set while no daemon ran, what that process wrote is put right now.
        """
        known = boot_store.of(self._connection, self._clock.boot())
        if known is not None and known.sure_at is not None:
            self._clock.vouch()
        self._boot = known or self._new_boot()
        if known is None and self._boot.sure_at is not None:
            self._make_room(self._boot.began, EVER)
        self._hold()
        step_s = self.off_by()
        if known is None or abs(step_s) <= STEP_S:
            return None
        return self.stepped(self._clock.now_s())

    @property
    def is_sure(self) -> bool:
        """Whether the time may be given without a word of doubt."""
        return self._boot.is_sure

    def is_new_start(self) -> bool:
        """Whether the machine was started again since `begin`, as it is in played time."""
        return self._clock.boot() != self._boot.id

    def was_set(self) -> bool:
        """Whether the clock was moved since `stepped` last heard of it."""
        return abs(self.off_by()) > STEP_S

    def since_set(self, at: int) -> int:
        """A stored moment, by the clock as `stepped` or `begin` found it set since and left all stored."""
        return at + self._left_s

    def look(self, at: int) -> bool:
        """Notice that the clock is known to be right, or no longer; True when it has just become sure."""
        boot, keeper = self._boot, self._clock.keeper()
        if boot.sure_at is not None or abs(self.off_by()) > STEP_S:
            return False
        if keeper.settled:
            self._keep(replace(boot, trusted=True, sure_at=at))
            self._clock.hold(None)
            return True
        if keeper.trusted is not boot.trusted:
            self._keep(replace(boot, trusted=keeper.trusted))
        return False

    def nightly_may_go(self, at: int) -> bool:
        """A night's letter at a wrong hour helps nobody, but a day without any is worse."""
        return self._boot.is_sure or at - self._boot.began >= _UNSURE_NIGHTLY_S

    def stepped(self, at: int) -> Mended | None:
        """The clock was moved: put right what it had stamped, unless it was right and somebody chose.

        One that was right, was set ahead and is set back was wrong in between.
        """
        boot, step_s = self._boot, self.off_by()
        small = boot.trusted and abs(step_s) <= _BATTERY_OFF_S
        if boot.sure_at is not None:
            mended = self._set_again(at, step_s)
        else:
            mended = None if small else self._mend(at, step_s)
            if small:
                self._keep(replace(boot, ahead_s=boot.ahead_s + step_s))
        self._left_s = 0 if mended else step_s
        run_store.add_clock_step(self._connection, at, step_s)
        return mended

    def _set_again(self, at: int, step_s: int) -> Mended | None:
        """A clock that was right is set elsewhere, or back to where it had been.

        What was stamped while it was ahead of that is put right. Times that came twice, as it was behind, lie
        among each other, and nobody can tell them apart.
        """
        boot, ahead_s = self._boot, self._boot.ahead_s + step_s
        near_s = min(_BATTERY_OFF_S, abs(step_s) / 2)
        stretches = boot_store.still_set(self._connection, boot)
        place = next((n for n, one in enumerate(stretches) if abs(one.ahead_s - ahead_s) < near_s), None)
        if place is None:
            boot_store.add_set(self._connection, boot, at, step_s)
        self._keep(replace(boot, ahead_s=ahead_s))
        over = [] if place is None else stretches[place:]
        for stretch in over:
            boot_store.keep(self._connection, replace(stretch, moved_at=at))
        return self._take_back(over[0], at, step_s) if len(over) == 1 and step_s < 0 else None

    def _new_boot(self) -> Boot:
        self._clock.hold(None)
        keeper, monotonic_s = self._clock.keeper(), self._clock.monotonic_s()
        now = self._clock.now_s()
        newest = None if keeper.settled else reading_store.newest_at(self._connection)
        if newest is not None:
            now = max(now, self._after(newest))
        trusted = keeper.trusted and now == self._clock.now_s()
        boot = Boot(self._clock.boot(), now, now - monotonic_s, trusted, now if keeper.settled else None)
        boot_store.keep(self._connection, boot)
        return boot

    def _after(self, newest: int) -> int:
        """Later than a reading and than all that followed from it before the next."""
        return newest + 2 * self._station.sample_every_s

    def _hold(self) -> None:
        """While nobody says what time it is, it is later than all there was before this start."""
        newest = reading_store.newest_before(self._connection, self._boot.began)
        started_s = self._boot.began - self._boot.ahead_s
        unsure = self._boot.sure_at is None and newest is not None
        self._clock.hold(self._after(newest) - started_s if unsure and newest is not None else None)

    def off_by(self) -> int:
        """How far the clock is from where it was when this start was last put right."""
        return round(self._clock.now_s() - self._clock.monotonic_s() - self._boot.ahead_s)

    def _keep(self, boot: Boot) -> None:
        boot_store.keep(self._connection, boot)
        self._boot = boot

    def _mend(self, at: int, step_s: int) -> Mended:
        boot, keeper = self._boot, self._clock.keeper()
        began = boot.began
        self._make_room(began + step_s, began)
        moved = move_all(self._station, self._connection, began, step_s, at)
        right = replace(
            boot,
            began=began + step_s,
            ahead_s=boot.ahead_s + step_s,
            trusted=keeper.trusted,
            sure_at=at if keeper.settled else None,
            moved_s=boot.moved_s + step_s,
            moved_at=at,
            restamped=moved.readings,
        )
        self._keep(right)
        self._hold()
        return Mended(
            right.began,
            step_s,
            self._find_outage(right),
            moved.held,
            self._is_worth_a_letter(right, moved, at),
        )

    def _take_back(self, ahead: Boot, at: int, step_s: int) -> Mended:
        """What was stamped in a stretch in which the clock was ahead gets its right times."""
        moved = move_all(self._station, self._connection, ahead.began, step_s, at)
        began, readings = ahead.began + step_s, moved.readings
        right = replace(ahead, began=began, moved_s=step_s, moved_at=at, restamped=readings)
        boot_store.keep(self._connection, right)
        return Mended(began, step_s, None, moved.held, self._is_worth_a_letter(right, moved, at))

    def _is_worth_a_letter(self, right: Boot, moved: Moved, at: int) -> bool:
        long = at - right.began > _WORTH_A_LETTER_S
        seen = moved.told or (long and moved.readings > 0)
        return self._clock.keeper().trusted and abs(right.moved_s) > _BATTERY_OFF_S and seen

    def _make_room(self, began: int, until: int) -> None:
        """Earlier starts that never learned the time end before `began`, if what they wrote says otherwise.

        What was written by earlier starts lies before `until`.
        """
        room_until = began
        for earlier in boot_store.others(self._connection, self._boot.id):
            newest = reading_store.newest_before(self._connection, until)
            if newest is None or newest < room_until or earlier.sure_at is not None:
                return
            if newest >= earlier.began:
                step_s = room_until - self._station.sample_every_s - newest
                correct_times(self._connection, earlier.began, until, step_s)
                moved = replace(
                    earlier,
                    began=earlier.began + step_s,
                    ahead_s=earlier.ahead_s + step_s,
                    moved_s=earlier.moved_s + step_s,
                )
                boot_store.keep(self._connection, moved)
                room_until = moved.began
            until = earlier.began

    def _find_outage(self, boot: Boot) -> Outage | None:
        """How long the station was off before this start, now that both ends are known."""
        before = reading_store.newest_before(self._connection, boot.began)
        after = reading_store.oldest_since(self._connection, boot.began)
        if before is None or after is None or after - before <= self._station.off_after_s:
            return None
        sure = boot.is_sure and boot_store.sure_between(self._connection, before, before)
        outage = Outage(before, after, sure)
        run_store.add_outage(self._connection, outage)
        return outage

    def due_anew(self, letter_ids: tuple[int, ...], at: int) -> None:
        """Planned letters of the stretch that were put off to a moment of the wrong clock's morning."""
        for row in letter_store.in_state(self._connection, "held"):
            if row.id in letter_ids and row.kind not in UNPLANNED and row.kind != "return":
                due_at = at if row.kind == "nightly" else planned_due_at(self._station, at)
                letter_store.put_off(self._connection, row.id, due_at)
