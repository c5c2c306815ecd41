"""What letters about hatches, absences and held letters, and explanations, are made from; as in `records`."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from reports.records import Event, PastAlarm, Range, Span, TimeRange


@dataclass(frozen=True, slots=True)
class Absence:
    """A stretch when nobody is in the room."""

    leaves_at: datetime
    returns_at: datetime


@dataclass(frozen=True, slots=True)
class HatchNews:
    """A hatch that is near, or has come."""

    vessel: str
    count: int
    set_at: datetime
    hatched_fraction: Range
    hatch_t10: TimeRange
    hatch_t50: TimeRange
    hatch_t90: TimeRange


@dataclass(frozen=True, slots=True)
class Taught:
    """Observations of one kind that a belief learned from: how many, and the last."""

    kind: str
    count: int
    last_at: datetime


@dataclass(frozen=True, slots=True)
class Ground:
    """What some estimates rest on.

    `model` is "water", "salt", "hatch" or "warmth"; `span` the record they were computed from (None: there
    is none), `unread` how much of it had no readings. `knowns` are the model's own unknowns as believed now.
    """

    model: str
    quantities: tuple[str, ...]
    span: Span | None
    unread: timedelta
    taught: tuple[Taught, ...]
    knowns: tuple[tuple[str, Range], ...]


@dataclass(frozen=True, slots=True)
class LateHatch:
    """A hatch that is later than was told, or of which nothing was told long after it should have come.

    `told_t50` is the moment a letter named before (None: none did); `overdue` says that all of it should
    have hatched by now, and no first swimmer, share or count was told.
    """

    vessel: str
    count: int
    set_at: datetime
    told_t50: datetime | None
    hatched_fraction: Range
    hatch_t50: TimeRange
    hatch_t90: TimeRange
    mean_c: float | None
    overdue: bool


@dataclass(frozen=True, slots=True)
class HarvestNews:
    """A cone whose harvest opens soon or has opened; `closing` says that it closes soon."""

    vessel: str
    count: int
    opens_at: TimeRange
    closes_at: TimeRange
    hatched_fraction: Range
    closing: bool


@dataclass(frozen=True, slots=True)
class FeedNews:
    """Animals that may be fed now: at instar II, and not fed too lately.

    `small` says that nobody will look for a day or more after today.
    """

    vessel: str
    count: int
    set_at: datetime
    instar_ii_at: TimeRange
    last_fed_at: datetime | None
    small: bool


@dataclass(frozen=True, slots=True)
class ReturnVessel:
    """How a vessel stands when somebody comes back, and what happened to it meanwhile.

    `fill_ml` is plain water up to the mark, a cup; `feed` says that a feed is due.
    """

    vessel: str
    count: int
    water_c: float | None
    coldest_c: float | None
    hottest_c: float | None
    loss_ml: Range
    salinity_g_per_kg: Range | None
    fill_ml: float
    hatched_fraction: Range
    hatch_t50: TimeRange
    open_alarms: tuple[Event, ...]
    past_alarms: tuple[PastAlarm, ...]
    feed: bool


@dataclass(frozen=True, slots=True)
class ReturnNews:
    """The end of an absence: who stands how, and what was not seen."""

    absence: Absence
    vessels: tuple[ReturnVessel, ...]
    outages: tuple[Span, ...]
    readings_expected: int
    readings_good: int


@dataclass(frozen=True, slots=True)
class VesselOutlook:
    """A vessel over the coming absence. `fill_ml` is plain water to pour now, a cup; `above_mark_ml` how
    far over the mark that ends; `fill_holds` whether that much is believed (9 in 10) to stay between the
    brim and the low mark until the return; where it is not, `fill_fails` is the side that fails, `low` or
    `brim`. `feed_small` says that a feed is due before going; the coldest and hottest water of the whole
    absence are a forecast, None where there is none.
    """

    vessel: str
    count: int
    batch_set_at: datetime
    fill_ml: float
    above_mark_ml: float
    fill_holds: bool
    loss_ml_at_return: Range
    salinity_at_return: Range | None
    low_ml: float
    cold_c: float
    water_c_min_next_16h: Range | None
    lamp_hours: tuple[Span, ...]
    hatched_fraction: Range
    hatch_t10: TimeRange
    hatch_t50: TimeRange
    hatch_t90: TimeRange
    learned_top_ups: int
    feed_small: bool = False
    water_c_min_away: Range | None = None
    water_c_max_away: Range | None = None
    fill_fails: str | None = None


@dataclass(frozen=True, slots=True)
class HeldLetter:
    """A letter that waited for the post until its moment had gone by.

    `fate` is what has become of its matter: "over", "told again", "stands" or "passed".
    """

    number: int
    kind: str
    subject: str
    written_at: datetime
    fate: str
