"""Water that stands level for hours, and what that says of a heater with a thermostat."""

from dataclasses import dataclass, replace
from math import hypot, log

from daemon.estimates.quantile import normal_cdf
from daemon.estimates.warmth.cup_heat import CupHeat
from daemon.estimates.warmth.half_hours import HalfHour
from daemon.estimates.warmth.thermostat import Seen
from daemon.seconds import HOUR_S

# What surrounds a vessel without a heater, lamp aside: a classroom, day and night in one (`room_state`) [P].
ROOM_C, ROOM_SD_C = 19.5, 3.2
ROOM_OWN_SD_C = 0.5  # where the air is measured: a warm corner, the probe
LEVEL_K = 0.3  # half hours that differ by less are level: a thermostat's band, the probe's step
LEVEL_K = 0.3  # half hours that differ by less are level: a thermostat's band, the probe's step
LEVEL_LEAST, LEVEL_MOST = -5.0, 6.0
# Rooms that stand level by themselves, day and night, are one in five: no more than that is proved by it [P].
STEADY_PER_H, STEADY_MOST = 0.4, 1.6
MOVED_K, MOVED_MOST = 0.5, 3.0
LAMP_K, LAMP_LEAST = 0.7, 0.02
# By evening and night, without sun and clouds: a thermostat that switches turns the water by more than a
# probe's noise, again and again, and hardly anything else does [P].
SWITCHING_LEAST_H, TURNS_LEAST, TURNS_PER_H, SWITCHES = 3.0, 3, 0.5, 3.0


@dataclass(frozen=True, slots=True)
class LevelRun:
    """Half hours that follow each other and in which the water stood level, with what was around it.

    `heat` is the cup as believed when it began: what is learned of a cup in held water is wrong.
    """

    began: int
    ended: int
    heat: CupHeat
    hours: float = 0.0
    mean_c: float = 0.0
    low_c: float = 99.0
    evening_h: float = 0.0
    turns: int = 0
    lit_h: float = 0.0
    room_h: float = 0.0
    room_c: float = 0.0
    room_low_c: float = 99.0
    room_high_c: float = -99.0

    def with_half_hour(self, half_hour: HalfHour, seen: Seen, *, evening: bool) -> "LevelRun":
        """One more, and what was read in it."""
        hours = self.hours + half_hour.hours
        share = half_hour.hours / hours
        grown = replace(
            self,
            ended=half_hour.began + round(half_hour.hours * HOUR_S),
            hours=hours,
            mean_c=self.mean_c + share * (half_hour.water_c - self.mean_c),
            low_c=min(self.low_c, seen.low_c, half_hour.water_c),
            evening_h=self.evening_h + (half_hour.hours if evening else 0.0),
            turns=self.turns + (seen.turns if evening else 0),
            lit_h=self.lit_h + half_hour.lit * half_hour.hours,
        )
        if half_hour.room_c is None:
            return grown
        room_h = self.room_h + half_hour.hours
        return replace(
            grown,
            room_h=room_h,
            room_c=self.room_c + half_hour.hours / room_h * (half_hour.room_c - self.room_c),
            room_low_c=min(self.room_low_c, half_hour.room_c),
            room_high_c=max(self.room_high_c, half_hour.room_c),
        )

    @property
    def room_known(self) -> bool:
        """Whether the air was measured for most of it."""
        return self.room_h > 0.7 * self.hours

    def speaks_for_a_heater(self, set_c: float, set_sd_c: float) -> float:
        """Log of how much likelier it is where a thermostat set to about `set_c` holds the water."""
        lit = self.lit_h / self.hours
        passive_c, passive_sd_c = ROOM_C, ROOM_SD_C
        if self.room_known:
            passive_c = self.room_c + self.heat.offset_k
            passive_sd_c = hypot(ROOM_OWN_SD_C, self.heat.offset_sd_k)
        passive_c += lit * self.heat.rise_k
        passive_sd_c = hypot(passive_sd_c, lit * self.heat.rise_sd_k)
        level = _log_normal(self.mean_c, set_c, set_sd_c) - _log_normal(self.mean_c, passive_c, passive_sd_c)
        return min(LEVEL_MOST, max(LEVEL_LEAST, level)) + self._unmoved() + self._unlit() + self._switching()

    def _unmoved(self) -> float:
        if self.room_known:
            return min(MOVED_MOST, 0.5 * ((self.room_high_c - self.room_low_c) / MOVED_K) ** 2)
        return min(STEADY_MOST, STEADY_PER_H * self.evening_h)

    def _unlit(self) -> float:
        """A lamp went on or off and the water stayed: lamps lift water, a thermostat then heats less."""
        if min(self.lit_h, self.hours - self.lit_h) < 1.0 or self.heat.rise_sd_k <= 0.0:
            return 0.0
        return -log(max(LAMP_LEAST, normal_cdf((LAMP_K - self.heat.rise_k) / self.heat.rise_sd_k)))

    def _switching(self) -> float:
        """Water that turns every hour or two has a heater that switches."""
        often = self.turns >= max(TURNS_LEAST, TURNS_PER_H * self.evening_h)
        return SWITCHES if often and self.evening_h >= SWITCHING_LEAST_H else 0.0


def _log_normal(x: float, mean: float, sd: float) -> float:
    return -0.5 * ((x - mean) / sd) ** 2 - log(sd)
