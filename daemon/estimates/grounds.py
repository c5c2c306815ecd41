"""What a belief rests on: the model, the record it was computed from, and what it has learned from whom."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from daemon.care.deed import Deed
from daemon.estimates.quantile import Estimate
from daemon.estimates.timeline.stretch import Stretch
from daemon.seconds import HOUR_S

WATER, SALT, HATCH, WARMTH = "water", "salt", "hatch", "warmth"  # the models, as science.md names them
QUANTITIES = {
    WATER: ("loss_ml", "loss_ml_per_day", "low_mark_at"),
    SALT: ("salinity_g_per_kg",),
    HATCH: ("hatched_fraction", "hatchable_share", "hatch_t10", "hatch_t50", "hatch_t90", "instar_ii_at"),
    WARMTH: ("water_c_min_next_16h", "water_c_max_next_16h"),
}
HARVEST = ("harvest_opens_at", "harvest_closes_at")
_TEACH = {
    WATER: ("top-up", "salinity", "float"),
    SALT: ("set", "brine", "remove", "harvest", "salinity"),
    HATCH: ("first-swimmer", "hatched", "count"),
}


@dataclass(frozen=True, slots=True)
class Lesson:
    """Observations of one kind (a deed, or `lot` for other batches): how many, the last when (Unix s)."""

    kind: str
    count: int
    last_at: int


@dataclass(frozen=True, slots=True)
class Grounds:
    """Why some quantities are believed as they are.

    `model` names the section of docs/explanation/science.md that holds it. The record reaches from `since`
    to `until` (Unix s; 0 where there is none), `read_h` of it with readings and `unread_h` without.
    `knowns` are the model's own unknowns as they are believed now, by name with their unit.
    """

    model: str
    quantities: tuple[str, ...]
    since: int
    until: int
    read_h: float
    unread_h: float
    lessons: tuple[Lesson, ...]
    knowns: Mapping[str, Estimate] = field(default_factory=dict)

    @property
    def learned_at(self) -> int | None:
        """When it last learned from somebody's observation; None: it has not yet."""
        return max((lesson.last_at for lesson in self.lessons), default=None)


class Ledger:
    """Counts what was fed to a belief since it began to count."""

    def __init__(self) -> None:
        self._lessons: dict[str, Lesson] = {}
        self.restart(0)

    def restart(self, at: int) -> None:
        """The record begins anew; what was learned before stays learned."""
        self.since = self.until = at
        self._read_s = self._unread_s = 0

    def copy(self) -> "Ledger":
        """A copy that goes its own way."""
        twin = Ledger()
        twin.__dict__.update(self.__dict__)
        twin._lessons = dict(self._lessons)
        return twin

    def stretch(self, stretch: Stretch) -> None:
        """A stretch of time, read or not."""
        seconds = stretch.ended - stretch.began
        if not self.since:
            self.since = stretch.began
        if stretch.high_c > stretch.low_c:
            self._unread_s += seconds
        else:
            self._read_s += seconds
        self.until = stretch.ended

    def lesson(self, kind: str, at: int) -> None:
        """One more observation of a kind."""
        before = self._lessons.get(kind)
        self._lessons[kind] = Lesson(kind, 1 + (before.count if before else 0), at)

    def grounds(
        self,
        model: str,
        quantities: tuple[str, ...],
        kinds: tuple[str, ...],
        knowns: Mapping[str, Estimate],
        more: tuple[Lesson, ...] = (),
    ) -> Grounds:
        """The grounds of some quantities, with the lessons of these kinds."""
        lessons = tuple(self._lessons[kind] for kind in kinds if kind in self._lessons) + more
        read_h, unread_h = self._read_s / HOUR_S, self._unread_s / HOUR_S
        return Grounds(model, quantities, self.since, self.until, read_h, unread_h, lessons, knowns)


class Ledgers:
    """A vessel's ledgers, one a model. Feed what the beliefs are fed with."""

    def __init__(self) -> None:
        self._ledgers = {model: Ledger() for model in QUANTITIES}

    def copy(self) -> "Ledgers":
        """A copy that goes its own way."""
        twin = Ledgers()
        twin._ledgers = {model: ledger.copy() for model, ledger in self._ledgers.items()}
        return twin

    def stretch(self, stretch: Stretch) -> None:
        """A stretch of time with the water's warmth."""
        for ledger in self._ledgers.values():
            ledger.stretch(stretch)

    def deed(self, deed: Deed) -> None:
        """A deed; a top-up teaches where it was to a known level. A new batch begins new records."""
        if deed.deed == "set":
            for model, ledger in self._ledgers.items():
                if model in (SALT, HATCH):
                    self._ledgers[model] = ledger = Ledger()
                if model != WARMTH:
                    ledger.restart(deed.at)
        if deed.deed != "top-up" or deed.level_given:
            self.learned(deed.deed, deed.at)

    def learned(self, kind: str, at: int) -> None:
        """Something was observed that some models learn from."""
        for model, kinds in _TEACH.items():
            if kind in kinds:
                self._ledgers[model].lesson(kind, at)

    def grounds(
        self, knowns: Mapping[str, Mapping[str, Estimate]], lot: Lesson | None, *, cone: bool
    ) -> list[Grounds]:
        """The grounds of every quantity, by model; `lot` is what other batches of the lot taught."""
        return [
            ledger.grounds(
                model,
                QUANTITIES[model] + (HARVEST if cone and model == HATCH else ()),
                _TEACH.get(model, ()),
                knowns[model],
                (lot,) if lot is not None and model == HATCH else (),
            )
            for model, ledger in self._ledgers.items()
        ]
