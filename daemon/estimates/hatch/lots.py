"""What the hatches of a station say about the lots of cysts they were set from.

A lot has its own T50, evenness, temperature law and hatchable share; each hatch of it scatters a little
around them. What is believed of a hatch before a look is the lot's prior times what its other hatches
say, in whatever vessel and also while they run. Nothing is stored here: the hatches are asked for what was
seen in them up to a moment, so a vessel computed anew, or a deed taken back, needs no correction.
"""

from array import array
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from weakref import WeakKeyDictionary

from daemon.estimates.hatch.grid import (
    SLOPES,
    SWANSON,
    Evidence,
    HatchGrid,
    Nodes,
    Start,
    lot_prior,
    scattered,
)
from daemon.estimates.hatch.hatchable_share import aged, normal, of_next, share_prior, three_points
from daemon.science.strains import UNKNOWN, Strain
from daemon.seconds import DAY_S

REMEMBERED_S = 400 * DAY_S
# After a start readings are read whole for so long back (`daemon.watching.old_hatches`). Of a vessel's
# hatches before that the newest few say nearly all of a lot; older ones do not count, after a start or not.
READ_WHOLE_S = 90 * DAY_S
NEWEST = 8


@dataclass(frozen=True, slots=True)
class GivenLot:
    """A lot as the station file gives it."""

    strain: Strain
    opened: date | None


@dataclass(frozen=True, slots=True)
class SeenBatch:
    """One hatch of a lot, and what had been seen in it by the time of each look; once it is over, what that
    says of the lot."""

    lot: str
    set_at: int
    looks: tuple[tuple[int, HatchGrid | Evidence], ...]

    def by(self, at: int) -> HatchGrid | Evidence | None:
        """What had been seen by a moment; None where nothing had."""
        return next((grid for looked_at, grid in reversed(self.looks) if looked_at <= at), None)


def counted(hatches: Sequence[SeenBatch], at: int) -> list[SeenBatch]:
    """Of a vessel's hatches, in the order of setting, those that count at `at` (Unix s) or will later."""
    old = [one for one in hatches if at - REMEMBERED_S < one.set_at <= at - READ_WHOLE_S]
    return [*old[-NEWEST:], *(one for one in hatches if one.set_at > at - READ_WHOLE_S)]


Source = Callable[[int], Sequence[SeenBatch]]
Key = tuple[str | None, int, tuple["Seen", ...]]
Seen = tuple[int, str, HatchGrid | Evidence]
Said = WeakKeyDictionary[HatchGrid, dict[tuple[str | None, int], Evidence]]  # as long as the grid is kept


class Lots:
    """Shared by the beliefs about all vessels of a station."""

    def __init__(self, given: Mapping[str, GivenLot] | None = None) -> None:
        """`given` is what the station file says, by lot; a lot it does not name is of unknown strain."""
        self._given = dict(given or {})
        self._sources: dict[str, Source] = {}
        self._remembered: dict[str, Sequence[SeenBatch]] = {}
        self._asked: dict[str, Key] = {}  # by vessel, what it asked for last: these starts are kept
        self._starts: dict[Key, Start] = {}
        self._evidence: Said = WeakKeyDictionary()

    def hear(self, vessel: str, source: Source) -> None:
        """Ask `source` for a vessel's hatches; a later source of the same vessel takes its place."""
        self._sources[vessel] = source

    def remember(self, vessel: str, hatches: Sequence[SeenBatch]) -> None:
        """A vessel's hatches from before the time that its source knows of."""
        self._remembered[vessel] = hatches

    def over(self, hatch: SeenBatch) -> SeenBatch:
        """The same hatch when nothing more is seen in it: it keeps what it says of its lot alone.

        That is 6 kB a look, where what was seen is 18, and 170 with a count.
        """
        looks = tuple((at, self._said(grid, hatch.lot, hatch.set_at)) for at, grid in hatch.looks)
        return replace(hatch, looks=looks)

    def start(self, lot: str | None, vessel: str, set_at: int, own: Sequence[SeenBatch], at: int) -> Start:
        """What is believed of the hatch set in `vessel` at `set_at`, before anything seen in it.

        `own` are that vessel's other hatches, as the one who asks knows them.
        """
        key = self._asked[vessel] = lot, set_at // DAY_S, self._seen(lot, vessel, own, at) if lot else ()
        if key not in self._starts:
            wanted = set(self._asked.values())
            self._starts = {known: start for known, start in self._starts.items() if known in wanted}
            self._starts[key] = self._learned(lot, set_at, key[2])
        return self._starts[key]

    def others_seen(self, lot: str | None, vessel: str, own: Sequence[SeenBatch], at: int) -> list[int]:
        """When the other hatches of a lot were set (Unix s) that something was seen of up to `at`."""
        return [set_at for set_at, _, _ in self._seen(lot, vessel, own, at)] if lot else []

    def usual_shares(self, lot: str | None, set_at: int) -> tuple[tuple[float, float], ...]:
        """The hatchable share of a lot before any hatch of it, in three points with weights."""
        return three_points(self._shares(lot, set_at))

    def _seen(self, lot: str, vessel: str, own: Sequence[SeenBatch], at: int) -> tuple[Seen, ...]:
        """In the order of setting, so that the same hatches always give the same numbers."""
        hatches: list[tuple[str, Iterable[SeenBatch]]] = [
            (name, source(at)) for name, source in self._sources.items() if name != vessel
        ]
        # What is remembered comes last: of a hatch that a source knows too it had all the readings.
        hatches += [(vessel, own), *self._remembered.items()]
        by_vessel: dict[str, dict[int, SeenBatch]] = {}
        for name, some in hatches:
            by_vessel.setdefault(name, {}).update((batch.set_at, batch) for batch in some)
        found = [
            (batch.set_at, name, grid)
            for name, batches in by_vessel.items()
            for batch in counted([batches[set_at] for set_at in sorted(batches)], at)
            if batch.lot == lot and (grid := batch.by(at)) is not None
        ]
        return tuple(sorted(found, key=lambda seen: seen[:2]))

    def _shares(self, lot: str | None, set_at: int) -> tuple[float, ...]:
        given = self._given.get(lot) if lot else None
        opened = given.opened if given else None
        days = 0 if opened is None else (datetime.fromtimestamp(set_at, UTC).date() - opened).days
        return share_prior(days)

    def _learned(self, lot: str | None, set_at: int, seen: Sequence[Seen]) -> Start:
        given = self._given.get(lot) if lot else None
        prior = lot_prior(given.strain if given else UNKNOWN)
        by_slope: list[Nodes] = [prior for _ in SLOPES]
        shares = self._shares(lot, set_at)
        for batch_set_at, _, grid in seen:
            said = self._said(grid, lot, batch_set_at)
            by_slope = [_weighed(*pair) for pair in zip(by_slope, said.nodes, strict=True)]
            most = max(map(max, by_slope))  # so that many hatches do not run out of small numbers
            by_slope = [tuple(w / most for w in nodes) for nodes in by_slope]
            shares = normal(_weighed(shares, aged(said.shares, (set_at - batch_set_at) / DAY_S)))
        spread = [scattered(nodes) for nodes in by_slope]
        # The slopes' own weights are the paths'; what the hatches say of them stays in the nodes.
        total = sum(weight * sum(nodes) for weight, nodes in zip(SWANSON, spread, strict=True))
        return Start(tuple(array("d", (w / total for w in nodes)) for nodes in spread), of_next(shares))

    def _said(self, grid: HatchGrid | Evidence, lot: str | None, set_at: int) -> Evidence:
        if isinstance(grid, Evidence):
            return grid
        by_lot = self._evidence.setdefault(grid, {})
        key = lot, set_at // DAY_S
        if key not in by_lot:
            by_lot[key] = grid.evidence(self._learned(lot, set_at, ()))
        return by_lot[key]


def _weighed(values: Sequence[float], by: Sequence[float]) -> tuple[float, ...]:
    return tuple(a * b for a, b in zip(values, by, strict=True))
