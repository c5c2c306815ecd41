"""How fast a vessel loses water at k = 1: by day, by hour, by week; and what the coming time is to bring.

All amounts are mL at k = 1, of the grid's reference column or by column.
"""

from bisect import bisect_right
from collections.abc import Callable, Sequence
from copy import copy
from math import inf

from daemon.estimates.local_hour import Calendar, PlainCalendar
from daemon.estimates.timeline.stretch import Stretch
from daemon.estimates.water.bubbling import Bubbling
from daemon.estimates.water.hourly_loss import DAY_H, ComingLoss, ComingWeek, RecentDay, RecentWeek
from daemon.estimates.water.laws import (
    LAW_PRIOR,
    REFERENCE,
    ROHWER_PER_PA,
    VAPOUR_PA,
    VAPOURS,
    kg_per_m2_h,
    people_pa,
)
from daemon.science.air import saturation_vapour_pressure_pa, vapour_pressure_pa
from daemon.science.evaporation import losses_ml_per_h
from daemon.seconds import HOUR_S

# How far the coming stretch's mean pace may be from what is expected, as a share [P].
COMING_SD_SHARE, FIRST_DAY_SD_SHARE = 0.08, 0.25
FORESEEN_SHARE = 2.0 / 3.0  # of a change that is foreseen so much is taken: some do not come [P]
USUAL_WATER_C = 24.0  # before the first reading
ROOM_OVER_WATER_K, ROOM_MOST_C = 1.0, 22.0  # of a room that is not measured; see `belief`


def open_ml_per_h(
    surface_cm2: float,
    activity: float,
    water_c: float,
    room_c: float | None,
    room_rh_pct: float | None,
    bubbling: Bubbling | None = None,
    moister_pa: float = 0.0,
) -> list[float]:
    """mL an hour at k = 1, by column; those of a law are alike where the room's humidity is measured."""
    water_c = min(60.0, max(-5.0, water_c))
    guessed_c = min(water_c + ROOM_OVER_WATER_K, ROOM_MOST_C)
    air_c = min(60.0, max(-20.0, guessed_c if room_c is None else room_c))
    if room_rh_pct is None:
        vapours = tuple([pa + moister_pa for pa in VAPOUR_PA])
    else:
        vapours = (vapour_pressure_pa(air_c, room_rh_pct),)
    rates = kg_per_m2_h(water_c, air_c, vapours, activity)
    ml = losses_ml_per_h(rates, surface_cm2, water_c)
    if bubbling is not None and bubbling.l_per_min > 0.0:
        ml = bubbling.added(ml, water_c, air_c, vapours * len(LAW_PRIOR), activity)
    return ml if room_rh_pct is None else [one for one in ml for _ in range(VAPOURS)]


def usual_ml_per_h(
    surface_cm2: float, activity: float, water_c: float, bubbling: Bubbling | None, moister_pa: float
) -> float:
    """The reference column's mL an hour in a room that is not measured; cheap, for every hour to come."""
    water_c = min(60.0, max(-5.0, water_c))
    vapour_pa = VAPOUR_PA[REFERENCE % VAPOURS] + moister_pa
    deficit_pa = activity * saturation_vapour_pressure_pa(water_c) - vapour_pa
    surface = losses_ml_per_h((max(0.0, ROHWER_PER_PA * deficit_pa),), surface_cm2, water_c)
    if bubbling is None:
        return surface[0]
    room_c = min(water_c + ROOM_OVER_WATER_K, ROOM_MOST_C)
    return bubbling.added(surface, water_c, room_c, (vapour_pa,), activity)[0]


class LossPath:
    """How much had evaporated when, hour by hour, since water was last added or taken."""

    def __init__(self) -> None:
        self._steps: list[tuple[int, float]] = []
        self._total = 0.0

    def copy(self) -> "LossPath":
        """A copy that goes its own way."""
        twin = LossPath()
        twin._steps, twin._total = list(self._steps), self._total
        return twin

    def restart(self, at: int) -> None:
        """Water was added or taken: what was before is no longer asked for."""
        self._steps = [(at, self._total)]

    def add(self, ended: int, ml: float) -> None:
        """So much more up to a moment."""
        self._total += ml
        if self._steps and ended - self._steps[-1][0] >= HOUR_S:
            self._steps.append((ended, self._total))

    def back(self, now: int, ml_per_day: float) -> Callable[[float], float]:
        """A function that tells the time between a past moment and `now` in days of evaporation."""
        path = [*self._steps, (now, self._total)]

        def days(t: float) -> float:
            if ml_per_day <= 0.0:
                return 0.0
            place = min(len(path) - 1, max(1, bisect_right(path, (t, inf))))
            (began, low), (ended, high) = path[place - 1], path[place]
            share = (t - began) / (ended - began) if ended > began else 1.0
            return (path[-1][1] - low - share * (high - low)) / ml_per_day

        return days


class Pace:
    """Feed stretches; ask for a day's loss, past or to come."""

    def __init__(
        self, surface_cm2: float, bubbling: Bubbling | None = None, calendar: Calendar | None = None
    ) -> None:
        self._surface_cm2, self._bubbling = surface_cm2, bubbling
        self._calendar = PlainCalendar() if calendar is None else calendar
        # What would go from the open vessel at the mark; what went from the vessel as it was.
        self._open, self._actual, self._week = RecentDay(), RecentDay(), RecentWeek()
        self._usual = RecentDay()  # as `_open`, in a room that is not measured
        self.path = LossPath()  # as it was, at the mark's pace
        self.water_c = USUAL_WATER_C
        self._room: tuple[float | None, float | None] = (None, None)

    def copy(self) -> "Pace":
        """A copy that goes its own way."""
        twin = copy(self)
        twin._open, twin._actual, twin._week = self._open.copy(), self._actual.copy(), self._week.copy()
        twin._usual = self._usual.copy()
        twin.path = self.path.copy()
        return twin

    def open_ml(self, stretch: Stretch, water_c: float, activity: float) -> list[float]:
        """What a stretch takes from the open vessel at the mark if its water has that warmth."""
        room_c, room_rh_pct = stretch.room_c, stretch.room_rh_pct
        moister_pa = self._people_pa(stretch.began) if room_rh_pct is None else 0.0
        rates = open_ml_per_h(
            self._surface_cm2, activity, water_c, room_c, room_rh_pct, self._bubbling, moister_pa
        )
        return [rate * stretch.hours for rate in rates]

    def _people_pa(self, at: int) -> float:
        local = self._calendar.local(at)
        return people_pa(local.hour, school_day=local.school_day)

    def _usual_ml(self, at: int, water_c: float, activity: float) -> float:
        """What an hour takes in a room that is not measured, by the reference column."""
        return usual_ml_per_h(self._surface_cm2, activity, water_c, self._bubbling, self._people_pa(at))

    def add(
        self, stretch: Stretch, open_ml: list[float], leaves: float, slowness: float, activity: float
    ) -> None:
        """A stretch, what it would take, what a cover leaves of that and how much the rim slows it."""
        began, seconds = stretch.began, stretch.ended - stretch.began
        self.water_c, self._room = stretch.water_c, (stretch.room_c, stretch.room_rh_pct)
        self._open.add(began, seconds, open_ml)
        self._actual.add(began, seconds, [leaves * ml / slowness for ml in open_ml])
        self._week.add(began, seconds, open_ml[REFERENCE])
        usual_ml = open_ml[REFERENCE]
        if stretch.room_c is not None or stretch.room_rh_pct is not None:
            usual_ml = stretch.hours * self._usual_ml(began, stretch.water_c, activity)
        self._usual.add(began, seconds, (usual_ml,))
        self.path.add(stretch.ended, leaves * open_ml[REFERENCE])

    def a_day(self, at: int, activity: float) -> list[float]:
        """What a day like the last takes from the open vessel at the mark, by column."""
        return self._open.per_day(at) or [24.0 * rate for rate in self._rates(self.water_c, activity)]

    def last_day(self, at: int, since: int) -> list[float] | None:
        """What went since then, at most over the last day, scaled to a day; None where nothing is known."""
        return self._actual.per_day(at, since)

    def coming(self, at: int, activity: float, per_day: float, water_c: Sequence[float]) -> ComingLoss:
        """The coming time: as the last day was, in the water that is forecast; and as it was a week ago.

        `water_c` is the forecast by clock hour from that of `at` on. After it days are as the last.
        """
        today = self._open.rates(at, REFERENCE)
        rates: list[Callable[[int], float]]
        if today is None:
            rates = [lambda _: self._per_s(self.water_c, activity)]
        else:
            again = self._week.coming(at, today)
            rates = [self._foreseen(at, activity, today, water_c), *([again] if again else [])]
        share = COMING_SD_SHARE if self._open.hours_known(at) >= 23.0 else FIRST_DAY_SD_SHARE
        weeks = [ComingWeek(at, rate) for rate in rates]
        return ComingLoss(at, weeks, per_day, share)

    def _foreseen(
        self, at: int, activity: float, today: Sequence[float], water_c: Sequence[float]
    ) -> Callable[[int], float]:
        """The rate (a second) of a coming hour: as of the last day's, but for other water and people.

        What these two change is added, most of it: the law is straight in the deficit, so it is right in any
        air.
        """
        first, usual = at // HOUR_S, self._usual.rates(at, 0) or [0.0] * DAY_H

        def rate(hour: int) -> float:
            as_today, ahead_h = today[hour % DAY_H], hour - first
            if ahead_h >= len(water_c):
                return as_today
            coming = self._usual_ml(hour * HOUR_S, water_c[ahead_h], activity) / HOUR_S
            return max(0.0, as_today + FORESEEN_SHARE * (coming - usual[hour % DAY_H]))

        return rate

    def _per_s(self, water_c: float, activity: float) -> float:
        return self._rates(water_c, activity)[REFERENCE] / HOUR_S

    def _rates(self, water_c: float, activity: float) -> list[float]:
        """mL an hour by column in water of that warmth, the room's air as it was last."""
        return open_ml_per_h(self._surface_cm2, activity, water_c, *self._room, self._bubbling)
