"""What a float switch says of the level, where the station file tells how high it hangs (`float_ml`).

It drops at a known level while the water sinks: that moment is as good as a filling to a line. Before it the
water stands above that line, after it below. It rises a little later than it dropped, and it may stick.
"""

from copy import copy
from dataclasses import dataclass
from math import hypot

from daemon.estimates.water.grid import EvaporationGrid
from daemon.science.evaporation import fill_error_ml
from daemon.seconds import HOUR_S
from daemon.station import Vessel

PLACE_SD_CM = 0.1  # how well a float's drop repeats and was marked [P]
RISES_LATER_CM = 0.3  # a float's play: it rises in higher water than it drops in [P]
STUCK_SHARE = 0.05  # salt crusts make a float stick; or somebody filled and recorded nothing
ROSE_SHARE = 0.8  # of rises that no deed explains are by water that nobody recorded [P]
SETTLED_S = HOUR_S  # a deed is recorded within the hour in which the float saw it
CLOSE_S = 2 * HOUR_S  # readings this near to each other saw the float drop


@dataclass(frozen=True, slots=True)
class FloatTurn:
    """A float that changed, or was read for the first time; `seen_at` is when it was read before (Unix s)."""

    at: int
    low: bool
    seen_at: int


class FloatTurns:
    """A float's readings, of which only the changes are kept until time has come to them."""

    def __init__(self) -> None:
        self._low: bool | None = None
        self._seen_at = 0
        self._waiting: list[FloatTurn] = []

    def copy(self) -> "FloatTurns":
        """A copy that goes its own way."""
        twin = copy(self)
        twin._waiting = list(self._waiting)
        return twin

    def add(self, at: int, *, low: bool) -> None:
        """A reading."""
        if low is not self._low:
            self._waiting.append(FloatTurn(at, low, self._seen_at))
        self._low, self._seen_at = low, at

    def read_at(self, until: int) -> int:
        """When it was last read, not after a moment (Unix s); one that is read later was read till then."""
        return min(self._seen_at, until)

    def due(self, until: int) -> list[FloatTurn]:
        """The changes up to a moment, which are then done with."""
        if not self._waiting or self._waiting[0].at > until:
            return []
        due = [turn for turn in self._waiting if turn.at <= until]
        self._waiting = self._waiting[len(due) :]
        return due


class FloatLevel:
    """The float's state since when, and what follows from it. Says nothing where its height is not given."""

    def __init__(self, vessel: Vessel) -> None:
        self._line_ml = vessel.float_ml
        self._rises_ml = RISES_LATER_CM * vessel.surface_cm2
        self._sd_ml = hypot(fill_error_ml(vessel.surface_cm2), PLACE_SD_CM * vessel.surface_cm2)
        self._low: bool | None = None
        self._since = self._read_at = 0
        self._rose = False
        self._undropped: EvaporationGrid | None = None  # the level as believed without the newest drop

    def copy(self) -> "FloatLevel":
        """A copy that goes its own way."""
        return copy(self)

    def turn(self, grid: EvaporationGrid, at: int, *, low: bool, seen_at: int, changed_at: int) -> None:
        """It dropped or rose at `at`; it was read before at `seen_at`, water was last moved at `changed_at`.

        A drop that was seen, not by anybody's hand, is a measurement. A rise is judged once a deed that
        explains it may have been recorded (`heed`).
        """
        dropped = low and self._low is False
        self._rose = self._low is True and not low
        self._low, self._since = low, at
        self.read(at)
        self._undropped = None
        if self._line_ml is not None and dropped and at - seen_at <= CLOSE_S and at - changed_at >= SETTLED_S:
            self._undropped = grid.copy()
            grid.observe_level(0.0, self._line_ml, self._sd_ml, 0.0, STUCK_SHARE)

    def before_drawn(self, at: int) -> EvaporationGrid | None:
        """The level without a drop that a hand explains: some was drawn at `at`, recorded after the float
        saw it. None where no drop was taken as a measurement shortly before.
        """
        undropped, self._undropped = self._undropped, None
        return None if undropped is None or at - self._since >= SETTLED_S else undropped.copy()

    def read(self, at: int) -> None:
        """It was read at a moment, and shows what it showed."""
        self._read_at = max(self._read_at, at)

    def heed(self, grid: EvaporationGrid, at: int, changed_at: int) -> None:
        """The water stands on the side of the line that the float has shown for an hour and more.

        One that is not read any more says nothing: what it said last was of other water, perhaps.
        """
        line_ml = self._line_ml
        if line_ml is None or self._low is None or at - self._read_at > CLOSE_S:
            return
        if self._read_at - max(self._since, changed_at) < SETTLED_S:
            return
        # One that shows high water against all bookkeeping was lifted by unrecorded water, to anywhere
        # above the line; the more so if it was seen to rise. One that sticks low leaves the level as it is.
        unrecorded = self._rose and changed_at < self._since - SETTLED_S
        grid.observe_side(
            line_ml - self._rises_ml if self._low else line_ml,
            self._sd_ml,
            above=not self._low,
            wrong_share=ROSE_SHARE if unrecorded else STUCK_SHARE,
            otherwise=None if self._low else (0.5 * line_ml, line_ml * line_ml / 12.0),
        )
