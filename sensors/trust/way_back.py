"""A thermometer in air, until what it does at once, or for a day, says that it is in water again."""

from collections.abc import Sequence

from sensors.trust.room_lag import Sample
from sensors.trust.sudden_change import at_rest, dipped_at, quick

WILD_S = 180
TRACK_STEP_S = 45  # closer readings than this show no more of a shape
_DIPPED_FOR_S = 1200
_QUIET_FOR_S = 86_400


class WayBack:
    """When it dipped into liquid, and since when it made no quick change (Unix s)."""

    def __init__(self) -> None:
        self.dipped_at: int | None = None
        self.quiet_since = 0

    def begin(self, now: int) -> None:
        """It is believed in air from now on."""
        self.dipped_at, self.quiet_since = None, now

    def taken(self, track: Sequence[Sample], *, quiet: bool, dip: bool) -> bool:
        """One more sample, the last of `track`; whether that is water.

        `quiet` says whether a day without a quick change is enough, `dip` whether a change that is all there
        at once is: readings far apart show it of a lamp, too.
        """
        now = track[-1].at
        if quick(track):
            self.quiet_since = now
            if self.dipped_at is not None and now - self.dipped_at > WILD_S + TRACK_STEP_S:
                self.dipped_at = None
        self.dipped_at = dipped_at(track) or self.dipped_at
        if quiet and now - self.quiet_since >= _QUIET_FOR_S:
            return True
        return (
            dip
            and self.dipped_at is not None
            and now - self.dipped_at >= _DIPPED_FOR_S
            and self._rests(track)
        )

    def _rests(self, track: Sequence[Sample]) -> bool:
        since = self.dipped_at or 0
        return at_rest([s for s in track if s.at >= since])
