"""What is said of tins is made from these."""

from dataclasses import dataclass
from datetime import date, datetime

from reports.records import Range


@dataclass(frozen=True, slots=True)
class TinBatch:
    """What one batch of a tin gave; None is what nobody counted, or nothing is known of.

    `percentage` and `believed` are fractions: `hatched` of `of` full cysts, as counted, `early` where some
    had yet to hatch, `warmth_known` where that can be said; and the share of all cysts, as calculated. Times
    are hours from wetting.
    """

    vessel: str
    count: int
    set_at: datetime
    cysts_g: float | None
    percentage: Range | None = None
    hatched: float = 0.0
    of: float = 0.0
    early: bool = False
    warmth_known: bool = True
    efficiency_per_g: Range | None = None
    t10_h: Range | None = None
    t50_h: Range | None = None
    t90_h: Range | None = None
    synchrony_h: Range | None = None
    believed: Range | None = None


@dataclass(frozen=True, slots=True)
class TinTested:
    """A test that was kept: its number, when, what was counted, after how many hours at which warmth.

    `umbrella` hung below their shells; `percentage` is of full cysts, where those were counted. One that is
    `doubted` is not counted: more had hatched than can have.
    """

    id: int
    at: datetime
    put: int
    hatched: int
    hours: float
    water_c: float
    umbrella: int = 0
    percentage: Range | None = None
    doubted: bool = False


@dataclass(frozen=True, slots=True)
class TinRecord:
    """A tin. `stored` is a key of `listed`'s words, empty where nobody says; `share` what the next
    batch may give of all cysts; `line` the shares at the first and last count, with how many counts, where a
    line goes through them; it `falls` where chance does not explain it. `disagree`: the lowest and the
    highest share counted, where counts differ by more than is usual."""

    id: str
    opened: date | None
    stored: str
    used_g: float
    unweighed: int
    left_g: float | None
    share: Range
    line: tuple[float, float, int] | None
    falls: bool
    disagree: tuple[float, float] | None
    batches: tuple[TinBatch, ...]
    tests: tuple[TinTested, ...] = ()
