"""The rows of a store that letters are held against: what was read, believed, done, raised and said."""

from bisect import bisect_left, bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Belief:
    """What was believed of a quantity at a moment."""

    at: int
    p10: float
    p50: float
    p90: float


@dataclass(frozen=True, slots=True)
class Done:
    """A deed of the log; `recorded_at` is when the daemon heard of it."""

    at: int
    vessel: str
    deed: str
    amount: float | None
    detail: dict[str, Any]
    recorded_at: int
    withdrawn_at: int | None

    def known(self, at: int) -> bool:
        """Whether it stood in the log at a moment."""
        return self.recorded_at <= at and (self.withdrawn_at is None or self.withdrawn_at > at)


@dataclass(frozen=True, slots=True)
class AlarmRow:
    """A change of an alarm's state; `since` is when what it is about began."""

    at: int
    vessel: str
    condition: str
    probe: str
    state: str
    since: int | None
    value: float | None
    noticed_at: int | None = None

    @property
    def known_at(self) -> int:
        """When it was known: what was judged in hindsight is dated back."""
        return self.at if self.noticed_at is None else self.noticed_at

    @property
    def key(self) -> tuple[str, str, str]:
        """Which alarm."""
        return self.vessel, self.condition, self.probe


@dataclass(frozen=True, slots=True)
class Said:
    """That something of a kind was said about vessels or probes, and when it was written."""

    at: int
    kind: str
    about: tuple[str, ...]


class Series:
    """The readings of a probe, in time order."""

    def __init__(
        self,
        rows: list[tuple[int, float | None, str]],
        judged_anew: Mapping[int, Sequence[tuple[int, str]]] | None = None,
    ) -> None:
        """`judged_anew`, by a reading's moment: until when it had which quality, the oldest first."""
        self.rows, self._judged_anew = rows, judged_anew or {}
        self.good = [(at, value) for at, value, quality in rows if quality == "good" and value is not None]
        self._ats = [at for at, _ in self.good]

    def last(self, at: int) -> tuple[int, float] | None:
        """The last good reading up to a moment."""
        place = bisect_right(self._ats, at)
        return self.good[place - 1] if place else None

    def last_then(self, at: int) -> tuple[int, float] | None:
        """The last reading up to a moment that was good for all that was known then."""
        up_to = self.rows[: bisect_right(self.rows, at, key=lambda row: row[0])]
        return next(
            (
                (then, value)
                for then, value, last in reversed(up_to)
                if value is not None and self._good(then, last, at)
            ),
            None,
        )

    def between_then(self, began: int, ended: int, at: int) -> list[tuple[int, float]]:
        """Readings of a stretch that were good for all that was known at a moment."""
        first, last = (bisect_left(self.rows, x, key=lambda row: row[0]) for x in (began, ended + 1))
        rows = self.rows[first:last]
        return [(then, value) for then, value, q in rows if value is not None and self._good(then, q, at)]

    def _good(self, read_at: int, quality: str, at: int) -> bool:
        """Whether a reading that is of a quality in the end was good for all that was known at a moment."""
        was = (was for until, was in self._judged_anew.get(read_at, ()) if until > at)
        return next(was, quality) == "good"

    def between(self, began: int, ended: int) -> list[tuple[int, float]]:
        """Good readings of a stretch, both ends included."""
        return self.good[bisect_left(self._ats, began) : bisect_right(self._ats, ended)]

    def valued(self, began: int, ended: int) -> list[float]:
        """All values of a stretch, also those that were not believed, or are not any more."""
        first = bisect_left(self.rows, began, key=lambda row: row[0])
        last = bisect_right(self.rows, ended, key=lambda row: row[0])
        return [value for _, value, _ in self.rows[first:last] if value is not None]
