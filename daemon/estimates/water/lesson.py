"""At what pace a vessel was learned: a factor found on warm weekdays is less sure on a cold weekend."""

from copy import copy
from math import exp, log

from daemon.estimates.water.week import unlike
from daemon.seconds import DAY_S

LATEST_COUNTS = 0.5  # the share of the latest filling in the pace that was learned at


class Lesson:
    """Paces at k = 1, in mL a day: since water was last moved, and over the fillings that taught."""

    def __init__(self) -> None:
        self.per_day: float | None = None
        self._ml = self._seconds = 0.0
        self._new_ml = self._new_seconds = 0.0

    def copy(self) -> "Lesson":
        """A copy that goes its own way."""
        return copy(self)

    def add(self, seconds: int, ml: float) -> None:
        """So much went in a stretch of time."""
        self._new_seconds += seconds
        self._new_ml += ml

    def settle(self) -> None:
        """What was added is now in the grid."""
        self._ml, self._seconds = self._ml + self._new_ml, self._seconds + self._new_seconds
        self._new_ml = self._new_seconds = 0.0

    def begin(self) -> None:
        """Water was added or taken."""
        self._ml = self._seconds = 0.0

    def learn(self) -> None:
        """A filling to a known level taught what the time since the last one has to teach."""
        if self._seconds <= 0.0 or self._ml <= 0.0:
            return
        pace = log(self._ml * DAY_S / self._seconds)
        before = pace if self.per_day is None else log(self.per_day)
        self.per_day = exp(before + LATEST_COUNTS * (pace - before))

    def unlike(self) -> float:
        """How many e-folds the pace since the grid was last brought up to date is from what was learned."""
        if self._new_seconds <= 0.0:
            return 0.0
        return unlike(self._new_ml * DAY_S / self._new_seconds, self.per_day)
