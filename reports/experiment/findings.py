"""What is to be known of an experiment to write of it."""

from collections.abc import Sequence
from typing import Protocol


class LevelSeen(Protocol):
    """A level, its share hatched with a 95 % interval, and its cups, each (hatched, of)."""

    @property
    def level(self) -> str: ...
    @property
    def share(self) -> float: ...
    @property
    def low(self) -> float: ...
    @property
    def high(self) -> float: ...
    @property
    def cups(self) -> Sequence[tuple[int, int]]: ...


class SeenTest(Protocol):
    """The test by its name, its figures, and why there is none ("one level" or "one cup")."""

    @property
    def test(self) -> str: ...
    @property
    def statistic(self) -> float | None: ...
    @property
    def p(self) -> float | None: ...
    @property
    def smallest_p(self) -> float | None: ...
    @property
    def why_none(self) -> str: ...
    @property
    def degrees(self) -> tuple[int, int] | None: ...


class SlopeSeen(Protocol):
    """Change of the log odds by one unit of the level, with a 95 % interval."""

    @property
    def per_unit(self) -> float: ...
    @property
    def low(self) -> float: ...
    @property
    def high(self) -> float: ...


class LatenessSeen(Protocol):
    """Whether a level that hatched less may only be late, and the hour at which to count it again.

    `caught_up` has hour and share of it and of the best where both were counted when equally far on.
    """

    @property
    def late(self) -> str: ...
    @property
    def early(self) -> str: ...
    @property
    def verdict(self) -> str: ...
    @property
    def count_again_h(self) -> float | None: ...
    @property
    def caught_up(self) -> Sequence[tuple[float, float]]: ...


class EqualSeen(Protocol):
    """Each level's hour at which it was as far on as the others, for all that is known."""

    @property
    def hours(self) -> Sequence[tuple[str, float]]: ...
    @property
    def by_hours_alone(self) -> bool: ...


class ComparedSeen(Protocol):
    """Levels side by side and their test."""

    @property
    def levels(self) -> Sequence[LevelSeen]: ...
    @property
    def tested(self) -> SeenTest: ...


class Findings(ComparedSeen, Protocol):
    """All that the counts show; `hours` is the hour after setting that was compared, where known.

    `levels` and `tested` are of that hour, else of equal development where that was counted.
    """

    @property
    def hours(self) -> float | None: ...
    @property
    def slope(self) -> SlopeSeen | None: ...
    @property
    def why_no_slope(self) -> str: ...
    @property
    def lateness(self) -> Sequence[LatenessSeen]: ...
    @property
    def lateness_open(self) -> bool: ...
    @property
    def equal(self) -> EqualSeen | None: ...
    @property
    def at_equal(self) -> ComparedSeen | None: ...
