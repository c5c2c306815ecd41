"""The belief about how warm the water will be.

Three parts: the cup as a lump that follows what surrounds it (`cupheat`), what surrounds it by hour of day
and kind of day (`roomday`), and 47 paths from now on (`coming`). What surrounds a cup is taken from its own
water, so a room without an air probe is known as well as one with: sun on the cup and evaporation are in
it. A measured room tells the lamp from the room sooner, and fills silences of the water probe (`gap`).
"""

from collections import deque
from copy import copy
from dataclasses import dataclass

from daemon.care.deed import Deed
from daemon.estimates.calendar import Calendar, PlainCalendar
from daemon.estimates.quantile import Z90, Estimate
from daemon.estimates.stretch import Stretch
from daemon.estimates.warmth.cells import Cells, lit, measured
from daemon.estimates.warmth.coming import Coming, Now
from daemon.estimates.warmth.cupheat import Cell, CupHeat, CupHeatBelief, surroundings_c
from daemon.estimates.warmth.roomday import RoomDay, slot
from daemon.seconds import HOUR_S

AHEAD_S = 16 * HOUR_S
NIGHT_FROM_H, NIGHT_TO_H = 18, 8
NOISE_K = 0.1  # of what surrounded a cup in an hour; more where the slope was short
READ_K = 0.03
RECENT_H = 2  # over which a trend is taken
POURING = frozenset({"set", "top-up", "brine", "remove", "harvest"})
USUAL_ML = 250.0


@dataclass(frozen=True, slots=True)
class Around:
    """What surrounded the cup in a clock hour (Unix hours), °C."""

    hour: int
    around_c: float


class WarmthBelief:
    """Feed stretches and deeds in time order."""

    def __init__(
        self, volume_ml: float = USUAL_ML, calendar: Calendar | None = None, *, has_lamp: bool = False
    ) -> None:
        self._calendar = calendar if calendar is not None else PlainCalendar()
        self._cells = Cells(self._calendar)
        self._cup = CupHeatBelief(volume_ml, has_lamp=has_lamp)
        self._room = RoomDay()
        self._hour: int | None = None
        self._sum, self._hours = 0.0, 0.0
        self._recent: deque[Around] = deque(maxlen=RECENT_H + 1)
        self._last: Stretch | None = None
        self._lit, self._dark = 0.0, False
        self._coming: Coming | None = None

    @property
    def heat(self) -> CupHeat:
        """The cup's time constant, lamp rise and offset as believed."""
        return self._cup.heat

    def copy(self) -> "WarmthBelief":
        """A copy that goes its own way."""
        twin = copy(self)
        twin._cells, twin._cup, twin._room = self._cells.copy(), self._cup.copy(), self._room.copy()
        twin._recent = self._recent.copy()
        return twin

    def feed_stretch(self, stretch: Stretch) -> None:
        """The water's temperature over a stretch that lies within one clock hour."""
        self._coming = None
        cell = self._cells.feed(stretch)
        if cell is not None:
            self._take(cell)
        hour = stretch.began // HOUR_S
        if hour != self._hour:
            self._close_hour()
            self._hour = hour
        if measured(stretch):
            self._note_lamp(stretch)
        self._last = stretch

    def feed_deed(self, deed: Deed) -> None:
        """A deed: what is poured or drawn disturbs the half hour."""
        if deed.deed in POURING:
            self._cells.disturb()

    def _note_lamp(self, stretch: Stretch) -> None:
        due = self._calendar.local((stretch.began + stretch.ended) // 2).lamp_due
        self._lit = lit(self._calendar, stretch)
        if due:
            self._dark = self._lit == 0.0

    def _take(self, cell: Cell) -> None:
        local = self._calendar.local(cell.began)
        self._cup.feed(cell, night=local.hour >= NIGHT_FROM_H or local.hour < NIGHT_TO_H)
        self._sum += cell.hours * surroundings_c(cell, self._cup.heat)
        self._hours += cell.hours

    def _close_hour(self) -> None:
        if self._hour is not None and self._hours > 0.0:
            around = Around(self._hour, self._sum / self._hours)
            self._observe(self._room, around, self._hours)
            self._recent.append(around)
        self._sum, self._hours = 0.0, 0.0

    def _observe(self, room: RoomDay, around: Around, hours: float) -> None:
        room.advance(around.hour, self._calendar.local(around.hour * HOUR_S).hour)
        reading_k = READ_K * self._cup.heat.tau_h / hours
        noise_k2 = NOISE_K * NOISE_K + reading_k * reading_k
        room.observe(slot(self._calendar, around.hour * HOUR_S), around.around_c, noise_k2)

    def knowns(self) -> dict[str, Estimate]:
        """The cup as a lump: its time constant (h), what its lamp adds and how it stands to the room (K)."""
        heat = self._cup.heat
        rise, offset = Z90 * heat.rise_sd_k, Z90 * heat.offset_sd_k
        return {
            "time_constant_h": Estimate(heat.tau_h, heat.tau_h, heat.tau_h),
            "lamp_rise_k": Estimate(max(0.0, heat.rise_k - rise), heat.rise_k, heat.rise_k + rise),
            "offset_k": Estimate(heat.offset_k - offset, heat.offset_k, heat.offset_k + offset),
        }

    def coming(self, ended: int) -> Coming | None:
        """The water from now on as far as `ended` (Unix s); None where no water was ever known."""
        if self._last is None:
            return None
        if self._coming is None or not self._coming.reaches(ended):
            self._coming = self._foreseen(self._last, ended)
        return self._coming

    def coldest(self, began: int, ended: int) -> Estimate | None:
        """The coldest water between two moments that are not past, °C; None where none was ever known."""
        coming = self.coming(ended)
        return coming.coldest(began, ended) if coming else None

    def hottest(self, began: int, ended: int) -> Estimate | None:
        """The hottest water between two moments that are not past, °C."""
        coming = self.coming(ended)
        return coming.hottest(began, ended) if coming else None

    def water_c_at(self, at: int) -> Estimate | None:
        """The water at a moment that is not past, °C."""
        coming = self.coming(at)
        return coming.water_c_at(at) if coming else None

    def coming_c(self, at: int) -> tuple[float, float] | None:
        """The water's median at a moment that is not past, and its standard deviation, °C."""
        coming = self.coming(at)
        return coming.coming_c(at) if coming else None

    def coldest_next_16h(self) -> Estimate | None:
        """The coldest water of the next 16 hours, °C."""
        return self.coldest(self._last.ended, self._last.ended + AHEAD_S) if self._last else None

    def hottest_next_16h(self) -> Estimate | None:
        """The hottest water of the next 16 hours, °C."""
        return self.hottest(self._last.ended, self._last.ended + AHEAD_S) if self._last else None

    def _foreseen(self, last: Stretch, ended: int) -> Coming:
        room, recent = self._room.copy(), list(self._recent)
        open_cell = self._cells.so_far()
        total, hours = self._sum, self._hours
        if open_cell is not None:
            total += open_cell.hours * surroundings_c(open_cell, self._cup.heat)
            hours += open_cell.hours
        if hours > 0.0 and self._hour is not None:
            around = Around(self._hour, total / hours)
            self._observe(room, around, hours)
            recent.append(around)
        room.advance(last.ended // HOUR_S, self._calendar.local(last.ended).hour)
        trend, slope = self._movement(room, recent)
        now = Now(
            last.ended,
            last.water_c,
            0.5 * (last.high_c - last.low_c),
            recent[-1].around_c if recent else None,
            trend,
            slope,
            self._lit,
            self._dark,
        )
        return Coming(now, room, self._cup.heat, self._calendar, ended)

    def _movement(self, room: RoomDay, recent: list[Around]) -> tuple[float, float]:
        """How the deviation from the pattern, and what surrounds the cup itself, changed lately, K/h."""
        if len(recent) < 2 or recent[-1].hour - recent[0].hour > 2 * RECENT_H:
            return 0.0, 0.0
        first, last = recent[-min(len(recent), RECENT_H + 1)], recent[-1]
        hours = last.hour - first.hour
        own = (last.around_c - first.around_c) / hours
        usual = [room.pattern_c(slot(self._calendar, around.hour * HOUR_S)) for around in (first, last)]
        return own - (usual[1] - usual[0]) / hours, own
