"""What is due in a vessel besides what its night tells."""

from dataclasses import dataclass
from datetime import datetime

from reports.letters.before_going import VesselGoing
from reports.letters.feeding import FeedDue
from reports.letters.harvest import HarvestNews


@dataclass(frozen=True, slots=True)
class VesselDue:
    """What is due in one.

    `vessel_kind` is one of `reports.letters.vessel_kinds.KINDS`; `seen` the share of the hatch that somebody
    last saw (None: nobody looked); `feed` and `harvest` are None where nothing is. `small`: the feed is
    halved, since nobody looks for a day or more after it. `feed_at` is when the next one falls that is not
    due yet. `going` is how it stands while people prepare to leave it alone for long (None: they do not).
    `fills`: water should be poured today that no letter asks for; the sheet of the week ticks it.
    """

    vessel: str
    count: int
    vessel_kind: str
    seen: float | None
    feed: FeedDue | None
    harvest: HarvestNews | None
    small: bool = False
    feed_at: datetime | None = None
    going: VesselGoing | None = None
    fills: bool = False
