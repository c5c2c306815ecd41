"""What letters of trouble are made from. Times are aware and local; every number carries its unit."""

from dataclasses import dataclass
from datetime import datetime

from reports.records import Range, Span, TimeRange


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
class FileOverlooked:
    """A station file that is not taken: its path, a line for each fault, and of when the one gone by is."""

    at: datetime
    file: str
    faults: tuple[str, ...]
    goes_by: datetime | None


@dataclass(frozen=True, slots=True)
class LastRead:
    """What a vessel's water was when it was last read, °C."""

    vessel: str
    count: int
    water_c: float
    at: datetime


@dataclass(frozen=True, slots=True)
class CardFailed:
    """A memory card that takes no writes: "full", "read-only" or "failing", and what was last known."""

    at: datetime
    found: str
    last_read: tuple[LastRead, ...]


@dataclass(frozen=True, slots=True)
class CardBack:
    """A memory card that takes writes again, from `back_at` on; `found` as above."""

    failed_at: datetime
    back_at: datetime
    found: str
