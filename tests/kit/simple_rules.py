"""What a sensible person would guess without the program: rules that a belief has to beat. Test-only.

A rule says one number; `scores.skill` gives it a range. Where no source is named it is common practice: a
hatch takes a day (24 h at 25 °C, as packages have it), a cup loses 10 mL a day, tonight is as last night. Who
poured divides what was poured by the days it replaced.
"""

from bisect import bisect_left
from dataclasses import dataclass

from daemon.care.deed import Deed
from daemon.station import Vessel

HOUR, DAY = 3600, 86_400
HATCH_H, HATCH_BASE_C, HATCH_AT_C = 24.0, 12.0, 25.0  # base: the compilation's rows, 11.5 to 12.3 °C [C]
EARLY_SHARE, LATE_SHARE = 0.8, 1.25  # the first tenth and the last, by the whole: 19 and 30 h of 24
CUP_ML_PER_DAY, CUP_CM2 = 10.0, 38.5  # by the surface
USUAL_G_PER_L = 25.0
NIGHT_S = 16 * HOUR
HORIZON_S = 60 * DAY


@dataclass(frozen=True, slots=True)
class Guess:
    """What a rule says, in the quantity's unit (times: Unix s).

    It errs by a factor on what lies between `origin` and it, or, without an origin, by so many units.
    """

    value: float
    origin: float | None = 0.0


class RulesOfThumb:
    """Hear deeds and read the water in time order; ask for every rule's guess."""

    def __init__(self, vessel: Vessel) -> None:
        self._vessel = vessel
        self._times: list[int] = []
        self._water_c: list[float] = []
        self._set_at = self._changed_at = 0
        self._poured_ml = self._poured_s = 0.0

    def hear(self, deed: Deed) -> None:
        """A deed that somebody recorded."""
        if deed.deed == "set":
            self._set_at = self._changed_at = deed.at
        elif deed.deed == "top-up":
            self._poured_ml += deed.amount or 0.0
            self._poured_s += deed.at - self._changed_at
            self._changed_at = deed.at

    def read(self, at: int, water_c: float) -> None:
        """The water, °C."""
        self._times.append(at)
        self._water_c.append(water_c)

    def say(self, at: int, returns_at: int) -> dict[str, tuple[Guess, ...]]:
        """Every rule's guess, by quantity."""
        per_s = self._ml_per_day / DAY
        loss_ml = per_s * (at - self._changed_at)
        volume_ml = max(1.0, self._vessel.mark_ml - loss_ml)
        coldest = (Guess(self._as_last_night_c(at), None),)
        low_at = self._changed_at + self._vessel.low_ml / max(1e-9, per_s)
        return {
            "loss_ml": (Guess(loss_ml),),
            "weekend_loss_ml": (Guess(per_s * (returns_at - self._changed_at)),),
            "loss_ml_per_day": (Guess(self._ml_per_day),),
            "salinity_g_per_kg": (Guess(USUAL_G_PER_L / 1.025 * self._vessel.mark_ml / volume_ml),),
            "low_mark_at": (Guess(min(low_at, float(at + HORIZON_S)), self._changed_at),),
            "hatch_t10": self._of_hatch(EARLY_SHARE, at),
            "hatch_t50": self._of_hatch(1.0, at),
            "hatch_t90": self._of_hatch(LATE_SHARE, at),
            "water_c_min_next_16h": coldest,
            "first_night_c_min": coldest,
            "weekend_c_min": (Guess(self._as_last_weekend_c(at, returns_at), None),),
        }

    @property
    def _ml_per_day(self) -> float:
        if self._poured_ml > 0.0 and self._poured_s > 0.0:
            return self._poured_ml * DAY / self._poured_s
        return CUP_ML_PER_DAY * self._vessel.surface_cm2 / CUP_CM2

    def _of_hatch(self, share: float, at: int) -> tuple[Guess, ...]:
        took_s = (HATCH_H * HOUR, self._hatched_at(at) - self._set_at)
        return tuple(Guess(self._set_at + share * took, self._set_at) for took in took_s)

    def _hatched_at(self, at: int) -> float:
        """24 h at 25 °C, in a straight line from the base up; from now on as warm as over the last day."""
        dose_h, first = 0.0, bisect_left(self._times, self._set_at)
        for n in range(first, len(self._times)):
            since = self._times[n - 1] if n > first else self._set_at
            dose_h += (self._times[n] - since) / HOUR * _pace(self._water_c[n])
            if dose_h >= HATCH_H:
                return float(self._times[n])
        last_day = self._between(at - DAY, at)
        per_h = sum(map(_pace, last_day)) / len(last_day) if last_day else 1.0
        return at + min(HORIZON_S / HOUR, (HATCH_H - dose_h) / max(1e-6, per_h)) * HOUR

    def _between(self, began: int, ended: int) -> list[float]:
        return self._water_c[bisect_left(self._times, began) : bisect_left(self._times, ended + 1)]

    def _as_last_night_c(self, at: int) -> float:
        """The coldest of the same hours a day ago; of what is known where those are not."""
        return min(self._between(at - DAY, at - DAY + NIGHT_S) or self._water_c[-1:] or [20.0])

    def _as_last_weekend_c(self, at: int, returns_at: int) -> float:
        """The coldest of the same hours a week ago where they were seen, else of last night."""
        seen = bool(self._times) and self._times[0] <= at - 7 * DAY
        then = self._between(at - 7 * DAY, returns_at - 7 * DAY) if seen else []
        return min(then) if then else self._as_last_night_c(at)


def _pace(water_c: float) -> float:
    return max(0.0, water_c - HATCH_BASE_C) / (HATCH_AT_C - HATCH_BASE_C)
