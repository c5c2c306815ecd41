"""How fast a vessel loses water at k = 1: by day, by hour, by week; and what the coming time is to bring.

All amounts are mL at k = 1, of the reference node of the grid or by vapour node.
"""

from collections.abc import Callable
from copy import copy

from daemon.estimates.stretch import Stretch
from daemon.estimates.water.evaporating import LossPath, open_ml_per_h
from daemon.estimates.water.grid import REFERENCE
from daemon.estimates.water.lesson import Lesson
from daemon.estimates.water.recent import DAY_H, RecentDay
from daemon.estimates.water.week import Coming, ComingWeek, RecentWeek
from daemon.seconds import HOUR_S

# How far the coming stretch's mean pace may be from what is expected, as a share [P].
COMING_SD_SHARE, FIRST_DAY_SD_SHARE = 0.12, 0.25
# What is learned at one pace holds less at another: Shah's method bends with warmth more than a linear law.
SHAPE_SD = 0.3  # of ln k for each e-fold of pace [P]
USUAL_WATER_C = 24.0  # before the first reading


class Pace:
    """Feed stretches; ask for a day's loss, past or to come."""

    def __init__(self, surface_cm2: float) -> None:
        self._surface_cm2 = surface_cm2
        # What would go from the open vessel at the mark; what went from the vessel as it was.
        self._open, self._actual, self._week = RecentDay(), RecentDay(), RecentWeek()
        self.path = LossPath()  # as it was, at the mark's pace
        self.lesson = Lesson()
        self.water_c = USUAL_WATER_C
        self._room: tuple[float | None, float | None] = (None, None)

    def copy(self) -> "Pace":
        """A copy that goes its own way."""
        twin = copy(self)
        twin._open, twin._actual, twin._week = self._open.copy(), self._actual.copy(), self._week.copy()
        twin.path, twin.lesson = self.path.copy(), self.lesson.copy()
        return twin

    def open_ml(self, stretch: Stretch, water_c: float, activity: float) -> list[float]:
        """What a stretch takes from the open vessel at the mark if its water has that warmth."""
        room_c, room_rh_pct = stretch.room_c, stretch.room_rh_pct
        rates = open_ml_per_h(self._surface_cm2, activity, water_c, room_c, room_rh_pct)
        return [rate * stretch.hours for rate in rates]

    def add(self, stretch: Stretch, open_ml: list[float], leaves: float, slowness: float) -> None:
        """A stretch, what it would take, what a cover leaves of that and how much the rim slows it."""
        began, seconds = stretch.began, stretch.ended - stretch.began
        self.water_c, self._room = stretch.water_c, (stretch.room_c, stretch.room_rh_pct)
        self._open.add(began, seconds, open_ml)
        self._actual.add(began, seconds, [leaves * ml / slowness for ml in open_ml])
        self._week.add(began, seconds, open_ml[REFERENCE])
        self.path.add(stretch.ended, leaves * open_ml[REFERENCE])
        self.lesson.add(seconds, open_ml[REFERENCE])

    def water_changed(self, at: int) -> None:
        """Water was added or taken."""
        self.path.restart(at)
        self.lesson.begin()

    def a_day(self, at: int, activity: float) -> list[float]:
        """What a day like the last takes from the open vessel at the mark, by vapour node."""
        return self._open.per_day(at) or [24.0 * rate for rate in self._rates(self.water_c, activity)]

    def last_day(self, at: int, since: int) -> list[float] | None:
        """What went since then, at most over the last day, scaled to a day; None where nothing is known."""
        return self._actual.per_day(at, since)

    def coming(self, at: int, activity: float, per_day: float) -> Coming:
        """The coming time, as the last days were.

        Not as the forecast of warmth has it: with the room's air as it was last, that forecast made
        weekends' losses worse when it was tried on other physics.
        """
        today = self._open.rates(at, REFERENCE)
        rates: list[Callable[[int], float]]
        if today is None:
            rates = [lambda _: self._per_s(self.water_c, activity)]
        else:
            again = self._week.coming(at, today)
            rates = [lambda h: today[h % DAY_H], *([again] if again else [])]
        share = COMING_SD_SHARE if self._open.hours_known(at) >= 23.0 else FIRST_DAY_SD_SHARE
        weeks = [ComingWeek(at, rate) for rate in rates]
        return Coming(at, weeks, per_day, share, SHAPE_SD, self.lesson.per_day)

    def _per_s(self, water_c: float, activity: float) -> float:
        return self._rates(water_c, activity)[REFERENCE] / HOUR_S

    def _rates(self, water_c: float, activity: float) -> list[float]:
        """mL an hour by vapour node in water of that warmth, the room's air as it was last."""
        return open_ml_per_h(self._surface_cm2, activity, water_c, *self._room)
