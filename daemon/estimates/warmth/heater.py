"""Whether a heater with a thermostat holds the water, at which warmth, and whether it works now.

Two questions with a log odds each. *Is there one?* asks of water that stood level for hours: how much
likelier is that warmth where a thermostat holds it than where only the room and the lamp do; did the evening,
the room's air or the lamp move what surrounds the water, and the water not? *Does it work?* asks of each half
hour: water at its level says yes; water below it that does not rise says no, for a heater would warm it, and
that there may never have been one. Both are judgements [P], capped, so that no evidence is final: a heater
fails, is mended, is taken away.

Where the station file gives `heater_c`, there is one. Water may be warmer than it is held: it cools nothing.
"""

from dataclasses import dataclass
from math import exp

from daemon.estimates.warmth.cup_heat import CupHeat
from daemon.estimates.warmth.half_hours import HALF_HOUR_S, HalfHour
from daemon.estimates.warmth.level_run import LEVEL_K, LevelRun
from daemon.estimates.warmth.thermostat import Lowest, Seen, Turning
from daemon.seconds import HOUR_S

# How likely a heater is before anything was seen, as log odds, by kind of vessel [P]: 0.3, 0.15 and 0.03.
USUAL = {"cone": -0.85, "jar": -1.7, "cup": -3.5}
GIVEN = 4.0
# Where thermostats of hatching vessels are set, and how near to its number one that was given is, °C [P].
SET_C, SET_SD_C = 26.5, 2.2
NEAR_SD_C = 0.7
LEAST_H, EVENING_LEAST_H, ELSEWHERE_H = 3.0, 2.0, 10.0
# Works: a half hour at its level, below it without rising (falling: twice that); the odds at first.
HOLDS, MENDED, FAILS, AT_FIRST = 1.0, 0.5, -1.5, 3.0
MOST, LEAST, WORKS_LEAST = 4.0, -5.0, -3.0
BELOW_K, FAR_BELOW_K = 0.5, 0.8
RISES_K_PER_H, RISE_K_PER_H = 0.3, 3.0
# Water that leaves its level tells of a heater that failed, or of none: failing is rare. What is no longer
# believed in is forgotten, and the next level has less for it.
LEFT, GONE = -3.0, -1.5
SPOKEN_OF = 0.6  # log odds, of a cone that stood at 26.8 °C and failed 0.7; in a room of 23 °C 0.5 [P]
LEAST_SHARE = 0.25  # below that nothing is made of a heater that was not given
FRESH_SD_C, LEVEL_SD_C = 0.4, 0.08
# How far a thermostat lets the water go to either side of its level: at first, at least and at most.
SWING_K, SWING_LEAST_K, SWING_MOST_K = 0.45, 0.09, 1.4


@dataclass(frozen=True, slots=True)
class Held:
    """A heater as believed: how sure it is that it holds the water now, and where (°C).

    Water below its level rises by `rise_k_per_h`. About its level it goes up and down by `swing_k` to either
    side, as a thermostat's band has it.
    """

    share: float
    level_c: float
    level_sd_c: float
    swing_k: float
    rise_k_per_h: float


class HeaterBelief:
    """Feed half hours in time order. Nothing in it is changed in place: copies may share its parts."""

    def __init__(self, kind: str, heater_c: float | None) -> None:
        self._set_c, self._set_sd_c = (SET_C, SET_SD_C) if heater_c is None else (heater_c, NEAR_SD_C)
        self._prior = USUAL[kind] if heater_c is None else GIVEN
        self._is_given, self._can_be_heated = heater_c is not None, kind != "cup"
        self._level_c, self._level_sd_c = heater_c, NEAR_SD_C
        self._is_there = self._prior if self._is_given else LEAST
        self._works, self._was_level, self._at_level = AT_FIRST, False, False
        self._rise_k_per_h = RISE_K_PER_H
        self._lows: Lowest | None = None
        self._turning, self._seen = Turning(), Seen()
        self._run: LevelRun | None = None

    def copy(self) -> "HeaterBelief":
        """A copy that goes its own way."""
        twin = HeaterBelief.__new__(HeaterBelief)
        twin.__dict__.update(self.__dict__)
        return twin

    @property
    def held(self) -> Held | None:
        """The heater as believed; None where none is to be spoken of."""
        share = _share(self._is_there) * _share(self._works)
        if self._level_c is None or (share < LEAST_SHARE and not self._is_given):
            return None
        swing_k = SWING_K if self._lows is None else self._level_c - self._lows.lowest_c
        swing_k = min(SWING_MOST_K, max(SWING_LEAST_K, swing_k))
        return Held(share, self._level_c, self._level_sd_c, swing_k, self._rise_k_per_h)

    @property
    def holds(self) -> bool:
        """Whether it is likelier than not that a heater holds the water now."""
        held = self.held
        return held is not None and held.share > 0.5

    def rests(self, water_c: float) -> bool:
        """Whether water is so warm that no thermostat heats it: then it is as its surroundings have it."""
        held = self.held
        return held is None or water_c > held.level_c + held.swing_k + BELOW_K

    @property
    def is_there(self) -> bool:
        """Whether people may be asked about one, working or not: it was given, or is two in three sure.

        Never of a cup without one given: a steady warm room looks alike, and cups are hardly ever heated.
        """
        return self._is_given or (
            self._can_be_heated and self._level_c is not None and self._is_there >= SPOKEN_OF
        )

    @property
    def level_began(self) -> int | None:
        """Since when (Unix s) the water has stood level; None where it does not."""
        return self._run.began if self._run else None

    def begin(self) -> None:
        """A batch is set: what stood idle is plugged in with it, and holds what was given, not the room."""
        self._works = max(self._works, AT_FIRST)
        if self._is_given and abs((self._level_c or 0.0) - self._set_c) > 2.0 * NEAR_SD_C:
            self._level_c, self._level_sd_c, self._was_level = self._set_c, self._set_sd_c, False
            self._is_there, self._run, self._lows = self._prior, None, None

    def see(self, at: int, water_c: float) -> None:
        """The water of some minutes: a half hour's lowest and turns tell of a thermostat."""
        turning = self._turning.with_reading(water_c)
        seen = self._seen if at // HALF_HOUR_S == self._seen.half_hour else Seen(at // HALF_HOUR_S)
        self._seen = seen.with_reading(water_c, turned=turning.falls != self._turning.falls)
        self._turning = turning

    def feed(self, half_hour: HalfHour, heat: CupHeat, *, evening: bool) -> None:
        """A half hour without a deed inside; `evening` says that rooms cool now, if they ever do."""
        self._follow_level(half_hour, heat, evening=evening)
        self._judge_level()
        if self._level_c is not None:
            self._keep_lowest(half_hour, self._level_c)
            self._judge_work(half_hour, self._level_c)

    def _follow_level(self, half_hour: HalfHour, heat: CupHeat, *, evening: bool) -> None:
        run = self._run
        follows = run is not None and half_hour.began - run.ended < LEAST_H * HOUR_S
        if run is None or not follows or abs(half_hour.water_c - run.mean_c) > LEVEL_K:
            run = LevelRun(half_hour.began, half_hour.began, heat)
        self._run = run.with_half_hour(half_hour, self._seen, evening=evening)

    def _judge_level(self) -> None:
        """What water that stands level says of a heater: of the one believed in, or of another warmth."""
        run = self._run
        if run is None or run.hours < LEAST_H:
            return
        found = self._prior + run.speaks_for_a_heater(self._set_c, self._set_sd_c)
        if not self._is_given and not run.room_known and run.evening_h < EVENING_LEAST_H:
            found = min(0.0, found)  # by day many rooms stand level
        if self._level_c is None or abs(run.mean_c - self._level_c) > BELOW_K:
            # A lamp holds a vessel level for an evening; what held it elsewhere before has to be outweighed.
            enough_h = ELSEWHERE_H if self._was_level else LEAST_H
            if self._is_there > 0.0 and (found <= 0.0 or run.hours < enough_h):
                return
            self._works, self._is_there, self._lows = AT_FIRST, LEAST, None
        self._was_level = True
        self._is_there = min(MOST, max(self._is_there, found))
        self._level_c, self._level_sd_c = run.mean_c, max(LEVEL_SD_C, FRESH_SD_C / run.hours**0.5)
        if self._lows is None:
            self._lows = Lowest(run.ended, run.low_c)

    def _keep_lowest(self, half_hour: HalfHour, level_c: float) -> None:
        """How far it fell in a half hour at its level; that in which it got there is not of it."""
        was_at_level, self._at_level = self._at_level, abs(half_hour.water_c - level_c) < BELOW_K
        if self._lows is not None and was_at_level and self._at_level:
            self._lows = self._lows.with_low(half_hour.began, min(self._seen.low_c, half_hour.water_c))

    def _judge_work(self, half_hour: HalfHour, level_c: float) -> None:
        below_k, slope = level_c - half_hour.water_c, half_hour.slope_k_per_h
        worked = self._works >= 0.0
        if below_k < BELOW_K:
            # A lamp or the sun may bring it there too: one that failed must hold it for hours.
            mended = self._works < 0.0
            if not mended or below_k > -BELOW_K:
                self._works = min(MOST, self._works + (MENDED if mended else HOLDS))
        elif slope > RISES_K_PER_H:
            self._rise_k_per_h = min(4.0 * RISE_K_PER_H, slope)
        elif below_k > FAR_BELOW_K:
            fails = 2.0 * FAILS if slope < -RISES_K_PER_H else FAILS
            self._works = max(WORKS_LEAST, self._works + fails * half_hour.hours / 0.5)
        if worked and self._works < 0.0 and not self._is_given:
            self._is_there += LEFT
            if self._is_there < 0.0:
                self._level_c, self._works, self._is_there = None, AT_FIRST, LEAST
                self._prior = max(LEAST, self._prior + GONE)


def _share(log_odds: float) -> float:
    return 1.0 / (1.0 + exp(-log_odds))
