"""The plain records a report is made from. Times are aware and local; every number carries its unit."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta


@dataclass(frozen=True, slots=True)
class Range:
    """What is believed of a number: one time in ten below `p10`, one in ten above `p90`."""

    p10: float
    p50: float
    p90: float


@dataclass(frozen=True, slots=True)
class TimeRange:
    """What is believed of a moment; None stands for later than is known."""

    p10: datetime | None
    p50: datetime | None
    p90: datetime | None


@dataclass(frozen=True, slots=True)
class Measured:
    """What a probe last read well, in its measure's unit, and when."""

    value: float
    at: datetime


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
class LampHours:
    """A lamp's hours of every day by the local clock, as the station file gives them; past midnight where
    `ends` is not later than `begins`."""

    begins: time
    ends: time


@dataclass(frozen=True, slots=True)
class Event:
    """Something done or said at a moment, in a few words; `kind` is the deed, letter kind or condition."""

    at: datetime
    kind: str
    text: str


@dataclass(frozen=True, slots=True)
class PastAlarm:
    """Trouble that came and went; `text` says what it was, in a few words in the past tense.

    `afterwards` is how it stands since then: "over", "again" (past its limit once more, and no alarm yet), or
    "unjudged" (nothing is judged there any more, or nothing was read that is believed).
    """

    kind: str
    text: str
    span: Span
    afterwards: str = "over"


@dataclass(frozen=True, slots=True)
class BrineDue:
    """Brine that is due where plain water is not: mL a cup, of so many g of salt in a litre of water.

    Where `harvested`, most of the water was drawn off, and it is due only if the batch goes on.
    """

    ml: float
    salt_g_per_l: float
    harvested: bool = False


@dataclass(frozen=True, slots=True)
class SilencedAlarm:
    """An alarm that somebody put aside at `since`; `until` is None where it is out of service.

    `text` names it in a few words; whether it would stand is not said. `by` is the login name of who did it,
    None where it is not known.
    """

    kind: str
    text: str
    since: datetime
    until: datetime | None
    by: str | None = None


@dataclass(frozen=True, slots=True)
class VesselNight:
    """A vessel's day and night, for the chart and the nightly letter.

    Series cover the record's span. `light_unit` is "lux", "fraction" or None where no light is measured.
    Estimates of water and hatch are None or empty where no batch runs. `stage` is the vessel's by name, as
    "hatching"; `watched` whether its warmth, lamp and probes are judged, and `watched_from` from when on they
    were at the earliest. `dry`: no batch runs and its probe hangs in the air, as it did for `dry_s` seconds
    of the span. `low_ml`, `brim_ml`, the salt's and the others are the station's limits.
    `written_about` are the conditions among its open alarms that a letter told of since they began. `fill_ml`
    is plain water up to the mark, a cup, or `brine` what is due in its place. `has_heater` says that the
    station file gives it a heater.
    """

    vessel: str
    count: int
    stage: str
    watched: bool
    watched_from: datetime
    dry: bool
    dry_s: int
    batch_set_at: datetime | None
    cold_c: float
    hot_c: float
    low_ml: float
    brim_ml: float
    salinity_low_g_per_kg: float
    salinity_high_g_per_kg: float
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
    water_c_max_next_16h: Range | None
    loss_ml_per_day: Range | None
    harvest_opens_at: TimeRange | None
    harvest_closes_at: TimeRange | None
    learned_top_ups: int
    deeds: tuple[Event, ...]
    open_alarms: tuple[Event, ...]
    past_alarms: tuple[PastAlarm, ...]
    written_about: tuple[str, ...] = ()
    fill_ml: float = 0.0
    brine: BrineDue | None = None
    silenced: tuple[SilencedAlarm, ...] = ()
    has_heater: bool = False


@dataclass(frozen=True, slots=True)
class Absence:
    """A stretch when nobody is in the room."""

    leaves_at: datetime
    returns_at: datetime


@dataclass(frozen=True, slots=True)
class ClockTrouble:
    """A clock that is not known to be right since `since`, or that was put right by `step_s` seconds."""

    since: datetime
    step_s: int | None
    restamped: int


@dataclass(frozen=True, slots=True)
class RoomAir:
    """What a probe read of the room's air, °C, and the vessels it stands by."""

    vessels: tuple[str, ...]
    air_c: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class NightRecord:
    """Everything a night's chart and letter are made from. `unit` is "C" or "F".

    `doubts` are probes (`kind`) about which something is strange at the end of the span, and what it is;
    `readings_came` are those that have a value, `readings_good` those of them that are trusted; `clock_sure`
    whether the station's clock was known to be right all the time; `clock_put_right` says by how
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
    readings_came: int
    readings_good: int
    next_letter_at: datetime | None
    clock_sure: bool = True
    language: str = "en"
    clock_put_right: ClockTrouble | None = None
    room_air: tuple[RoomAir, ...] = ()


@dataclass(frozen=True, slots=True)
class Setting:
    """What every letter needs to know of its moment: where, when, and who comes next.

    `attended_now` says whether someone is in the room, `leaves_at` when they leave it (None: nobody is there,
    or somebody always is); `returns_at` is when someone next is (now, when attended); `next_letter_at` is the
    next planned letter, which comes only where a batch runs then if `next_letter_if_batch`; `clock_sure` is
    False where hours and dates may be wrong. `also` is what else waits to be said, a line each. `language` is
    the one the letter is written in. What was read no longer than `fresh_for` ago is so now. `said_last` are
    the paragraphs of the last letter of the same kind: what they explain is not explained again.
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
    leaves_at: datetime | None = None
    next_letter_if_batch: bool = False
    fresh_for: timedelta = timedelta(minutes=30)
    said_last: frozenset[str] = frozenset()


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
