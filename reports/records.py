"""The plain records a report is made from. Times are aware and local; every number carries its unit."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta


@dataclass(frozen=True, slots=True)
class Range:
    """What is believed of a number: one time in ten below `p10`, one in ten above `p90`."""

    p10: float
    p50: float
    p90: float


@dataclass(frozen=True, slots=True)
class TimeRange:
    """What is believed of a moment; None stands for later than can be told."""

    p10: datetime | None
    p50: datetime | None
    p90: datetime | None


@dataclass(frozen=True, slots=True)
class Point:
    """A value of a series; None breaks the line (a gap stays a gap)."""

    at: datetime
    value: float | None


@dataclass(frozen=True, slots=True)
class RangePoint:
    """A believed value of a series."""

    at: datetime
    range: Range


@dataclass(frozen=True, slots=True)
class Span:
    """From one moment to another."""

    began: datetime
    ended: datetime


@dataclass(frozen=True, slots=True)
class Event:
    """Something done or said at a moment, in a few words; `kind` is the deed, letter kind or condition."""

    at: datetime
    kind: str
    text: str


@dataclass(frozen=True, slots=True)
class PastAlarm:
    """Trouble that came and went; `text` says what it was, in a few words in the past tense."""

    kind: str
    text: str
    span: Span


@dataclass(frozen=True, slots=True)
class VesselNight:
    """A vessel's day and night, for the chart and the nightly letter.

    Series cover the record's span. `light_unit` is "lux", "fraction" or None where no light is measured.
    Estimates are None or empty where no batch runs. `low_ml` and `low_light` are the station's limits.
    """

    vessel: str
    count: int
    batch_set_at: datetime | None
    cold_c: float
    hot_c: float
    low_ml: float
    low_light: float
    light_unit: str | None
    lamp_hours: tuple[Span, ...]
    water_c: tuple[Point, ...]
    light: tuple[Point, ...]
    loss_ml: tuple[RangePoint, ...]
    salinity_g_per_kg: tuple[RangePoint, ...]
    hatched_fraction: tuple[RangePoint, ...]
    hatch_t50: TimeRange | None
    low_mark_at: TimeRange | None
    water_c_min_next_16h: Range | None
    loss_ml_per_day: Range | None
    learned_top_ups: int
    deeds: tuple[Event, ...]
    open_alarms: tuple[Event, ...]
    past_alarms: tuple[PastAlarm, ...]


@dataclass(frozen=True, slots=True)
class NightRecord:
    """Everything a night's chart and letter are made from. `unit` is "C" or "F".

    `doubts` are probes (`kind`) about which something is strange at the end of the span, and what it is;
    `clock_sure` whether the station's clock was known to be right all the time; `clock_put_right` says by how
    much it was wrong before it was put right within the span. `language` is the one its texts are in and the
    chart is drawn in.
    """

    station: str
    night: date
    span: Span
    unit: str
    vessels: tuple[VesselNight, ...]
    letters: tuple[Event, ...]
    doubts: tuple[Event, ...]
    outages: tuple[Span, ...]
    readings_expected: int
    readings_good: int
    next_letter_at: datetime | None
    clock_sure: bool = True
    language: str = "en"
    clock_put_right: "ClockTrouble | None" = None


@dataclass(frozen=True, slots=True)
class TemperatureTrouble:
    """A cold or hot vessel. `limit_c` is the limit passed, `extreme_c` the coldest or hottest since then."""

    kind: str  # "cold" or "hot"
    vessel: str
    count: int
    water_c: float
    limit_c: float
    extreme_c: float
    since: datetime
    has_lamp: bool
    room_c: float | None
    water_c_min_next_16h: Range | None
    hatch_t50: TimeRange | None
    hatched_fraction: Range | None


@dataclass(frozen=True, slots=True)
class LampTrouble:
    """A lamp that is off in its hours."""

    vessel: str
    count: int
    light: float
    light_unit: str
    low_light: float
    since: datetime
    lamp_hours: Span
    water_c: float | None


@dataclass(frozen=True, slots=True)
class WaterTrouble:
    """Water at the low mark, or there before somebody comes."""

    vessel: str
    count: int
    loss_ml: Range
    low_ml: float
    low_mark_at: TimeRange
    salinity_g_per_kg: Range | None
    fill_ml: float
    learned_top_ups: int


@dataclass(frozen=True, slots=True)
class ProbeTrouble:
    """A probe that gives nothing to believe. `fault` is the reading's quality."""

    probe: str
    measures: str
    vessels: tuple[str, ...]
    fault: str
    since: datetime
    last_good_at: datetime | None
    last_good: float | None


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
class TemperatureAhead:
    """Cold or heat to come within `span`; `extreme_c` is the coldest or hottest believed.

    `limit_c` is the limit that it may pass; `sun` says that the rise looks like sun through a window.
    """

    kind: str  # "cold" or "hot"
    vessel: str
    count: int
    water_c: float
    limit_c: float
    extreme_c: Range
    span: Span
    has_lamp: bool
    sun: bool


@dataclass(frozen=True, slots=True)
class LampStaysOn:
    """A lamp that is still on after its hours; `since` is when it should have gone off."""

    vessel: str
    count: int
    light: float
    light_unit: str
    since: datetime
    lamp_hours: Span
    water_c: float | None


@dataclass(frozen=True, slots=True)
class SwingTrouble:
    """Water that was too cold and too warm within a day for animals to bear well; `limit_k` is the limit."""

    vessel: str
    count: int
    lowest_c: float
    lowest_at: datetime
    highest_c: float
    highest_at: datetime
    limit_k: float


@dataclass(frozen=True, slots=True)
class SalinityTrouble:
    """Salt out of range; `fill_ml` is plain water up to the mark (0 where the water stands there).

    `mark_ml` is what the vessel holds at the mark; None where it is not known.
    """

    vessel: str
    count: int
    salinity_g_per_kg: Range
    low_g_per_kg: float
    high_g_per_kg: float
    loss_ml: Range
    fill_ml: float
    mark_ml: float | None = None


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
class OutageVessel:
    """A vessel over a stretch without readings: water before and after, °C, and what it may have cost.

    `delay_h` is by how much later the hatch is than if the water had stayed as before; `lit_after` whether
    the lamp burned when readings came back in its hours (None: not known), a hint that only the station
    had no power.
    """

    vessel: str
    count: int
    before_c: float | None
    after_c: float | None
    delay_h: Range | None
    lit_after: bool | None


@dataclass(frozen=True, slots=True)
class OutageNews:
    """A stretch in which the station was off; `clock_sure` is False where its length is not certain."""

    span: Span
    clock_sure: bool
    vessels: tuple[OutageVessel, ...]


@dataclass(frozen=True, slots=True)
class ClockTrouble:
    """A clock that is not known to be right since `since`, or that was put right by `step_s` seconds."""

    since: datetime
    step_s: int | None
    restamped: int


@dataclass(frozen=True, slots=True)
class StorageTrouble:
    """A card that is nearly full."""

    free_mb: float
    least_mb: float
    since: datetime


@dataclass(frozen=True, slots=True)
class StoreLost:
    """A store that was found damaged: the name it is kept under, and what is known since.

    `backup_until` is the last reading of the backup that took its place; None where there was none.
    """

    at: datetime
    kept_as: str
    backup_until: datetime | None


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

    absence: "Absence"
    vessels: tuple[ReturnVessel, ...]
    outages: tuple[Span, ...]
    readings_expected: int
    readings_good: int


@dataclass(frozen=True, slots=True)
class Absence:
    """A stretch when nobody is in the room."""

    leaves_at: datetime
    returns_at: datetime


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
class Setting:
    """What every letter needs to know of its moment: where, when, and who comes next.

    `attended_now` says whether someone is in the room; `returns_at` is when someone next is (now, when
    attended); `next_letter_at` is the next planned letter; `clock_sure` is False where hours and dates may be
    wrong. `also` are other troubles that wait to be told, a line each. `language` is the one the letter is
    written in.
    """

    station: str
    unit: str
    written_at: datetime
    attended_now: bool
    returns_at: datetime | None
    next_letter_at: datetime | None
    also: tuple[str, ...] = ()
    language: str = "en"
    clock_sure: bool = True


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


@dataclass(frozen=True, slots=True)
class LetterText:
    """A letter's words. `html` says the same as `text`; `chart_cid` is set where it shows a chart.

    `language` is the one it is written in.
    """

    kind: str
    subject: str
    text: str
    html: str
    chart_cid: str | None = None
    language: str = "en"
