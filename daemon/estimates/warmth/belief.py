"""The belief about how warm the water will be.

Three parts: the cup as a lump that follows what surrounds it (`cup_heat`), what surrounds it by hour of day
and kind of day (`room_pattern`), and 47 paths from now on (`forecast`). What surrounds a cup is taken from
its own water, so a room without an air probe is known as well as one with: sun on the cup and evaporation
are in it. A measured room tells the lamp from the room sooner, and fills silences of the water probe
(`timeline.gap`).
"""

from collections import deque
from copy import copy
from dataclasses import dataclass, replace

from daemon.care.deed import Deed
from daemon.estimates.local_hour import Calendar, PlainCalendar
from daemon.estimates.quantile import Z90, Estimate
from daemon.estimates.timeline.stretch import Stretch
from daemon.estimates.warmth.cup_heat import CupHeat, CupHeatBelief, surroundings_c
from daemon.estimates.warmth.forecast import Now, WarmthForecast
from daemon.estimates.warmth.half_hours import HalfHour, HalfHours, lit, measured
from daemon.estimates.warmth.heater import HeaterBelief
from daemon.estimates.warmth.movement import RECENT_H, HourAround, movement
from daemon.estimates.warmth.room_pattern import RoomPattern
from daemon.estimates.warmth.room_state import slot
from daemon.estimates.warmth.sunny_days import SunnyDays
from daemon.seconds import HOUR_S

AHEAD_S = 16 * HOUR_S
NIGHT_FROM_H, NIGHT_TO_H = 18, 8
EVENING_FROM_H = 16  # from then on a classroom cools
NOISE_K = 0.1  # of what surrounded a cup in an hour; more where the slope was short
READ_K = 0.03
POURING = frozenset({"set", "top-up", "brine", "remove", "harvest"})
USUAL_ML = 250.0
FORESEEN_H = 96  # further ahead the days are alike, as far as can be known
# Five courses, alike likely: 10, 30 … 90 % of a normal, spread so that their variance is 1.
COURSES = (-1.463, -0.599, 0.0, 0.599, 1.463)
NOTHING_KNOWN_C, NOTHING_KNOWN_SD_C = 22.0, 3.0  # before any reading: a heated room, wide [P]


@dataclass(frozen=True, slots=True)
class WarmthCourse:
    """One way the water may go: its weight, and its mean (°C) in clock hours from the present one on.

    Where the hours are used up, they come again.
    """

    weight: float
    hourly_c: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class BeforeLevel:
    """What was believed before the water began to stand level: if a heater holds it, that counts again."""

    cup: CupHeatBelief
    room: RoomPattern


class WarmthBelief:
    """Feed stretches and deeds in time order."""

    def __init__(
        self,
        volume_ml: float = USUAL_ML,
        calendar: Calendar | None = None,
        *,
        has_lamp: bool = False,
        heater: HeaterBelief | None = None,
    ) -> None:
        """`heater` is what is believed of a heater before anything was seen; else as of any cup."""
        self._calendar = calendar if calendar is not None else PlainCalendar()
        self._half_hours = HalfHours(self._calendar)
        self._cup = CupHeatBelief(volume_ml, has_lamp=has_lamp)
        self._room = RoomPattern()
        self._heater = HeaterBelief("cup", None) if heater is None else heater
        self._sun = SunnyDays()
        self._before: BeforeLevel | None = None
        self._hour: int | None = None
        self._sum, self._hours = 0.0, 0.0
        self._read, self._hours_read = False, 0
        self._recent: deque[HourAround] = deque(maxlen=RECENT_H + 1)
        self._last: Stretch | None = None
        self._lit, self._dark = 0.0, False
        self._forecast: WarmthForecast | None = None
        self._hours_at: tuple[int, list[tuple[float, float]]] | None = None

    @property
    def heat(self) -> CupHeat:
        """The cup's time constant, lamp rise and offset as believed, and where a heater holds it."""
        held = self._heater.held
        if held is None or not self._heater.holds:
            return self._cup.heat
        return replace(self._cup.heat, held_c=held.level_c)

    @property
    def has_heater(self) -> bool:
        """Whether people may be asked about its heater: one that was given, or that the water showed."""
        return self._heater.is_there

    @property
    def hours_read(self) -> int:
        """In how many clock hours water was measured, that under way among them."""
        return self._hours_read + self._read

    def copy(self) -> "WarmthBelief":
        """A copy that goes its own way."""
        twin = copy(self)
        twin._half_hours, twin._cup, twin._room = self._half_hours.copy(), self._cup.copy(), self._room.copy()
        twin._heater, twin._recent = self._heater.copy(), self._recent.copy()
        return twin

    def feed_stretch(self, stretch: Stretch) -> None:
        """The water's temperature over a stretch that lies within one clock hour."""
        self._forecast = self._hours_at = None
        half_hour = self._half_hours.feed(stretch)
        if half_hour is not None:
            self._take(half_hour)
        hour = stretch.began // HOUR_S
        if hour != self._hour:
            self._close_hour()
            self._hours_read, self._read = self.hours_read, False
            self._hour = hour
        if measured(stretch):
            self._read = True
            self._note_lamp(stretch)
            self._heater.see(stretch.began, stretch.water_c)
        self._last = stretch

    def feed_deed(self, deed: Deed) -> None:
        """A deed: what is poured or drawn disturbs the half hour."""
        if deed.deed in POURING:
            self._half_hours.disturb()
        if deed.deed == "set":
            self._heater.begin()

    def _note_lamp(self, stretch: Stretch) -> None:
        due = self._calendar.local((stretch.began + stretch.ended) // 2).lamp_due
        self._lit = lit(self._calendar, stretch)
        if due:
            self._dark = self._lit == 0.0

    def _take(self, half_hour: HalfHour) -> None:
        local = self._calendar.local(half_hour.began)
        night = local.hour >= NIGHT_FROM_H or local.hour < NIGHT_TO_H
        held_before, level_began = self._heater.holds, self._heater.level_began
        evening = local.hour >= EVENING_FROM_H or local.hour < NIGHT_TO_H
        self._heater.feed(half_hour, self._cup.heat, evening=evening)
        if self._heater.level_began != level_began:
            self._before = BeforeLevel(self._cup.copy(), self._room.copy())
        if self._heater.holds != held_before:
            self._begin_anew()
        if not self._heater.holds or self._heater.rests(half_hour.water_c):
            self._cup.feed(half_hour, night=night)
            self._add(half_hour, surroundings_c(half_hour, self._cup.heat))
        elif half_hour.room_c is not None:
            self._add(half_hour, half_hour.room_c + self._cup.heat.offset_k)

    def _add(self, half_hour: HalfHour, around_c: float) -> None:
        self._sum += half_hour.hours * around_c
        self._hours += half_hour.hours

    def _begin_anew(self) -> None:
        """A heater came to be believed in, or failed: what the water said of its surroundings was of that."""
        if self._heater.holds and self._before is not None:
            self._cup, self._room = self._before.cup.copy(), self._before.room.copy()
        self._sum, self._hours = 0.0, 0.0
        self._recent.clear()

    def _close_hour(self) -> None:
        if self._hour is not None and self._hours > 0.0:
            around = HourAround(self._hour, self._sum / self._hours)
            self._observe(self._room, around, self._hours)
            self._recent.append(around)
            self._sun = self._sun.with_hour(self._calendar.local(self._hour * HOUR_S).hour, around.around_c)
        self._sum, self._hours = 0.0, 0.0

    def _observe(self, room: RoomPattern, around: HourAround, hours: float) -> None:
        room.advance(around.hour, self._calendar.local(around.hour * HOUR_S).hour)
        reading_k = READ_K * self._cup.heat.tau_h / hours
        noise_k2 = NOISE_K * NOISE_K + reading_k * reading_k
        room.observe(slot(self._calendar, around.hour * HOUR_S), around.around_c, noise_k2)

    def knowns(self) -> dict[str, Estimate]:
        """The cup as a lump of warmth, and where a heater is believed to hold it (`heater_c`)."""
        held, known = self._heater.held, self._cup.heat.knowns()
        if held is None or not self._heater.holds:
            return known
        apart = Z90 * held.level_sd_c
        return known | {"heater_c": Estimate(held.level_c - apart, held.level_c, held.level_c + apart)}

    def forecast(self, ended: int) -> WarmthForecast | None:
        """The water from now on as far as `ended` (Unix s); None where no water was ever known."""
        if self._last is None:
            return None
        if self._forecast is None or not self._forecast.reaches(ended):
            self._forecast = self._foreseen(self._last, ended)
        return self._forecast

    def coldest(self, began: int, ended: int) -> Estimate | None:
        """The coldest water between two moments that are not past, °C; None where none was ever known."""
        forecast = self.forecast(ended)
        return forecast.coldest(began, ended) if forecast else None

    def hottest(self, began: int, ended: int) -> Estimate | None:
        """The hottest water between two moments that are not past, °C."""
        forecast = self.forecast(ended)
        return forecast.hottest(began, ended) if forecast else None

    def water_c_at(self, at: int) -> Estimate | None:
        """The water at a moment that is not past, °C."""
        forecast = self.forecast(at)
        return forecast.water_c_at(at) if forecast else None

    def median_and_sd_c(self, at: int) -> tuple[float, float] | None:
        """The water's median at a moment that is not past, and its standard deviation, °C."""
        forecast = self.forecast(at)
        return forecast.median_and_sd_c(at) if forecast else None

    def courses_ahead(self, at: int) -> list[WarmthCourse]:
        """The ways the water may go from `at` (Unix s): the forecast's median, and beside it as it may err.

        A course stays as far beside the median as it is: what makes one hour colder lasts [P].
        """
        hours = self._hours_foreseen(at)
        weight = 1.0 / len(COURSES)
        return [WarmthCourse(weight, tuple(middle + z * sd for middle, sd in hours)) for z in COURSES]

    def middle_ahead(self, at: int) -> tuple[float, ...]:
        """The forecast's median by clock hour from that of `at` on, °C, as far ahead as the courses go."""
        return tuple([middle for middle, _ in self._hours_foreseen(at)])

    def _hours_foreseen(self, at: int) -> list[tuple[float, float]]:
        """What courses are made of: both the hatch and the water ask for it, of the same moment."""
        if self._hours_at is None or self._hours_at[0] != at:
            self._hours_at = at, self.hours_ahead(at, FORESEEN_H)
        return self._hours_at[1]

    def hours_ahead(self, at: int, count: int) -> list[tuple[float, float]]:
        """The water's median and its standard deviation in clock hours from that of `at` on, °C.

        As far as a forecast goes; one hour for all where no water was ever known.
        """
        forecast = self.forecast(at + count * HOUR_S)
        if forecast is None:
            return [(NOTHING_KNOWN_C, NOTHING_KNOWN_SD_C)]
        began = at // HOUR_S * HOUR_S
        moments = [max(at, began + h * HOUR_S + HOUR_S // 2) for h in range(count)]
        return [forecast.median_and_sd_c(moment) for moment in moments]

    def coldest_next_16h(self) -> Estimate | None:
        """The coldest water of the next 16 hours, °C."""
        return self.coldest(self._last.ended, self._last.ended + AHEAD_S) if self._last else None

    def hottest_next_16h(self) -> Estimate | None:
        """The hottest water of the next 16 hours, °C."""
        return self.hottest(self._last.ended, self._last.ended + AHEAD_S) if self._last else None

    def _foreseen(self, last: Stretch, ended: int) -> WarmthForecast:
        room, recent = self._room.copy(), list(self._recent)
        under_way = self._half_hours.so_far()
        total, hours = self._sum, self._hours
        if under_way is not None and not self._heater.holds:
            total += under_way.hours * surroundings_c(under_way, self._cup.heat)
            hours += under_way.hours
        if hours > 0.0 and self._hour is not None:
            around = HourAround(self._hour, total / hours)
            self._observe(room, around, hours)
            recent.append(around)
        room.advance(last.ended // HOUR_S, self._calendar.local(last.ended).hour)
        trend, slope = movement(recent, room, self._calendar)
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
        return WarmthForecast(now, room, self._cup.heat, self._calendar, ended, self._heater.held, self._sun)
