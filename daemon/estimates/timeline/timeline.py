"""One vessel's readings and deeds, merged into stretches of time with their mean temperatures.

Water temperature is taken as straight between samples that are near enough, so a reading a minute and a
reading an hour are the same kind of data. Stretches end at every fifth minute of the wall clock and at
every deed. A longer gap is held open until readings return, then filled from whatever else was read (see
`gap`), with margins, in stretches that end at whole hours and at deeds.

Order: at equal times readings come before deeds. Events of one second are collected and taken together
once time has moved on, so that feeding a deed before or after that second's readings changes nothing;
deeds of the same second keep the order in which they were fed.
"""

from copy import copy
from itertools import pairwise
from math import sqrt

from daemon.care.deed import Deed
from daemon.estimates.local_hour import Calendar, PlainCalendar
from daemon.estimates.timeline.gap import UNKNOWN, UNKNOWN_MOST_C, OtherReadings, UnreadWater, fill
from daemon.estimates.timeline.stretch import OpenStretch, Series, Stretch
from daemon.estimates.warmth.cup_heat import CupHeat
from daemon.seconds import DAY_S, HOUR_S

CELL_S = 300
GAP_S = 1800  # a longer silence is a gap, unless the station samples more rarely than that
ROOM_HELD_S = 7200  # a room's air is taken to be as last seen for so long

# A deed of years ago would make an hour's stretch of every hour since, each of them guessed.
SILENCE_MOST_S = 90 * DAY_S

# A vessel that never gave a reading: a heated room, wide [P].
ASSUMED_WATER_C = 22.0
ASSUMED_MARGIN_C = 4.0

WATER, ROOM, HUMIDITY = "water_c", "room_c", "room_rh_pct"
# Light as a multiple of what tells a lit lamp from a dark one; another vessel's water of the same lamp hours.
LIGHT_LUX, LIGHT_FRACTION, NEIGHBOUR = "light_lux", "light_fraction", "neighbour_c"

Event = Stretch | Deed
Sample = tuple[int, float]  # Unix s, °C


class OutOfOrder(Exception):
    """Something earlier than what was already fed: compute the vessel anew from the store.

    Carries the time that came (`at`) and the time already reached (`reached`), Unix s.
    """

    def __init__(self, vessel: str, at: int, reached: int) -> None:
        super().__init__(f"vessel {vessel}: {at} comes after {reached} was fed; feed in time order")
        self.at = at
        self.reached = reached


class Timeline:
    """The streaming merge. Feed in time order; what is returned is closed and will not change."""

    def __init__(self, sample_every_s: int, calendar: Calendar | None = None) -> None:
        self._gap_s = max(GAP_S, 3 * sample_every_s)
        held = max(ROOM_HELD_S, 3 * sample_every_s)
        self._calendar = calendar if calendar is not None else PlainCalendar()
        self._room = Series(held)
        self._humidity = Series(held)
        self._light = Series(self._gap_s)
        self._neighbour = Series(self._gap_s)
        self._heat: CupHeat | None = None
        self._now: int | None = None
        self._samples: dict[str, float] = {}
        self._waiting: list[Deed] = []
        self._water: Sample | None = None
        self._open = OpenStretch()

    @property
    def now(self) -> int | None:
        """The latest time fed, Unix s; None before anything was."""
        return self._now

    @property
    def last_water_c(self) -> float | None:
        """The last good water temperature in °C; None before any."""
        fresh = self._samples.get(WATER)
        if fresh is not None:
            return fresh
        return self._water[1] if self._water else None

    @property
    def deeds_wait(self) -> bool:
        """Whether deeds were fed whose time is not closed yet."""
        return bool(self._waiting)

    def learn(self, heat: CupHeat) -> None:
        """The cup as learned by now: a silence of its probe is filled with it."""
        self._heat = heat

    def copy(self) -> "Timeline":
        """A copy that goes its own way."""
        twin = copy(self)
        twin._room, twin._humidity = self._room.copy(), self._humidity.copy()
        twin._light, twin._neighbour = self._light.copy(), self._neighbour.copy()
        twin._samples, twin._waiting = dict(self._samples), list(self._waiting)
        twin._open = self._open.copy()
        return twin

    def feed_reading(self, at: int, what: str, value: float) -> list[Event]:
        """A good reading of `what`; returns what it closes. Of two in one second the later fed counts."""
        closed = self._step(at) if at != self._now else []
        self._samples[what] = value
        return closed

    def feed_deed(self, deed: Deed) -> list[Event]:
        """A deed; returns what it closes. The deed itself comes out when the time up to it is closed."""
        closed = self._step(deed.at) if deed.at != self._now else []
        self._waiting.append(deed)
        return closed

    def ahead(self, at: int) -> list[Event]:
        """Everything still open, closed as far as `at` with the last temperature. Use it on a copy."""
        closed = self._step(at)
        if self._water is None:
            return closed + self._assumed(at)
        if at - self._water[0] <= self._gap_s:
            closed += self._straight(self._water, (at, self._water[1]))
        else:
            closed += self._gap(self._water, at, None)
        return closed + self._open.close()

    def _step(self, at: int) -> list[Event]:
        """Take in the second that is over."""
        past, self._now = self._now, at
        if past is None:
            return []
        samples, self._samples = self._samples, {}
        water_c = samples.pop(WATER, None)
        if samples:
            self._add_beside(past, samples)
        return [] if water_c is None else self._reach(past, water_c)

    def _add_beside(self, at: int, samples: dict[str, float]) -> None:
        """What was read beside the water."""
        thinned = self._water is None or at - self._water[0] > self._gap_s
        for what, value in samples.items():
            if what == ROOM:
                self._room.add(at, value, thinned=thinned)
            elif what == HUMIDITY:
                self._humidity.add(at, value, thinned=thinned)
            elif what == NEIGHBOUR:
                self._neighbour.add(at, value, thinned=thinned)
            elif what == LIGHT_LUX or (what == LIGHT_FRACTION and LIGHT_LUX not in samples):
                self._light.add(at, value, thinned=thinned)

    def _reach(self, at: int, water_c: float) -> list[Event]:
        if self._water is None:
            closed = self._before_the_first(at, water_c)
        elif at - self._water[0] <= self._gap_s:
            closed = self._straight(self._water, (at, water_c))
        else:
            closed = self._gap(self._water, at, water_c)
        self._water = (at, water_c)
        self._room.forget()
        self._humidity.forget()
        self._light.forget()
        self._neighbour.forget()
        return closed

    def _before_the_first(self, at: int, water_c: float) -> list[Event]:
        """Deeds before the first reading: the water was about what it is found to be."""
        if not self._waiting:
            return []
        pieces = self._unread(at)
        return self._filled(pieces, [_before(water_c, (at - 0.5 * (a + b)) / HOUR_S) for a, b in pieces], at)

    def _assumed(self, at: int) -> list[Event]:
        if not self._waiting:
            return []
        pieces = self._unread(at)
        return self._filled(pieces, [UnreadWater(ASSUMED_WATER_C, ASSUMED_MARGIN_C)] * len(pieces), at)

    def _straight(self, before: Sample, after: Sample) -> list[Event]:
        (began, before_c), (at, water_c) = before, after
        slope = (water_c - before_c) / (at - began) if at > began else 0.0
        closed: list[Event] = []
        for start, end in self._pieces(began, at, CELL_S):
            middle = 0.5 * (start + end)
            self._open.add(
                start,
                end,
                before_c + slope * (middle - began),
                self._room.value(middle),
                self._humidity.value(middle),
                self._light.measured(middle),
            )
            if end % CELL_S == 0 or self._deed_waits(end):
                closed += self._open.close()
                closed += self._due(end)
        return closed + self._due(at) if self._waiting else closed

    def _gap(self, before: Sample, at: int, water_c: float | None) -> list[Event]:
        """The silence from `before` to `at`, where the water is `water_c`, or None while it is not read."""
        began, before_c = before
        pieces = self._pieces(began, at, HOUR_S)
        seen = OtherReadings(self._room, self._neighbour, self._light, self._calendar, self._heat)
        return self._open.close() + self._filled(pieces, fill(pieces, before_c, water_c, seen), at)

    def _filled(self, pieces: list[tuple[int, int]], believed: list[UnreadWater], at: int) -> list[Event]:
        """Stretches without readings."""
        closed: list[Event] = []
        for (start, end), found in zip(pieces, believed, strict=True):
            middle = 0.5 * (start + end)
            room_c, humidity = self._room.value(middle), self._humidity.value(middle)
            low_c, high_c = found.water_c - found.margin_c, found.water_c + found.margin_c
            closed.append(Stretch(start, end, found.water_c, low_c, high_c, room_c, humidity))
            closed += self._due(end)
        return closed + self._due(at)

    def _unread(self, at: int) -> list[tuple[int, int]]:
        """The time from the first deed to `at`, of which nothing was read; of the first silence its end."""
        first = self._waiting[0].at
        following = min((deed.at for deed in self._waiting if deed.at > first), default=at)
        return self._pieces(max(first, following - SILENCE_MOST_S), at, HOUR_S)

    def _pieces(self, began: int, ended: int, every_s: int) -> list[tuple[int, int]]:
        """The time between, cut at every multiple of `every_s` and at waiting deeds."""
        if began < ended <= began // every_s * every_s + every_s and not self._waiting:
            return [(began, ended)]  # a reading a minute: most steps are one piece
        cuts = {d.at for d in self._waiting if began < d.at < ended}
        cuts.update(range((began // every_s + 1) * every_s, ended, every_s))
        edges = [began, *sorted(cuts), ended]
        return [(a, b) for a, b in pairwise(edges) if b > a]

    def _deed_waits(self, at: int) -> bool:
        return bool(self._waiting) and self._waiting[0].at <= at

    def _due(self, at: int) -> list[Event]:
        due: list[Event] = []
        while self._deed_waits(at):
            due.append(self._waiting.pop(0))
        return due


def _before(water_c: float, hours: float) -> UnreadWater:
    """The water so many hours before its first reading: about what it is found to be."""
    return UnreadWater(water_c, min(UNKNOWN_MOST_C, UNKNOWN * sqrt(max(0.0, hours))))
