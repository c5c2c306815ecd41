"""What the report of a batch is made from: plain records. Times are aware and local."""

from dataclasses import dataclass
from datetime import datetime
from math import inf

from reports.records import NightRecord, Range, Setting, Span, TimeRange, VesselNight


@dataclass(frozen=True, slots=True)
class PlannedBatch:
    """What was noted when the batch was set, of one cup; None where it was not.

    `mark_ml` is what a cup holds at its mark, `light` whether a lamp was to be on. `set_at` and `lesson` are
    of the plan that was kept for it: when it was to be set, and for which lesson it was to hatch.
    """

    cysts_g: float | None
    salt_g_per_l: float | None
    volume_ml: float | None
    tin: str | None
    light: bool | None
    mark_ml: float
    set_at: datetime | None = None
    lesson: Span | None = None


@dataclass(frozen=True, slots=True)
class HatchTimes:
    """When a tenth, half and nine tenths of those that will have hatched; None where it is not known."""

    t10: TimeRange | None
    t50: TimeRange | None
    t90: TimeRange | None


@dataclass(frozen=True, slots=True)
class SeenHatch:
    """One look at the hatch: `kind` is the deed, `text` its words. `share` is what hatched of the cysts where
    the look says so; for a count without a known number of cysts it is None."""

    at: datetime
    kind: str
    text: str
    share: float | None


@dataclass(frozen=True, slots=True)
class Taught:
    """One of a model's own unknowns, by the name that the beliefs give it, before the batch and after."""

    name: str
    before: Range | None
    after: Range | None


@dataclass(frozen=True, slots=True)
class ColdNights:
    """The coldest water of each night, °C: of how many nights, the coldest of all and the middle one.

    `lowest_c` is the coldest at any hour, by day and of nights that were hardly read too.
    """

    count: int
    coldest_c: float
    middle_c: float
    lowest_c: float = inf


@dataclass(frozen=True, slots=True)
class WaterSpent:
    """Water of one cup in mL: `gone_ml` is what evaporated, over so many days; None where it is not known."""

    gone_ml: Range | None
    days: float
    poured_ml: float
    drawn_ml: float


@dataclass(frozen=True, slots=True)
class ToldBatch:
    """One vessel's batch. `record` holds this vessel alone, from its setting to its end or to now.

    `ended_at` is None while it runs. `expected` is what was believed of the hatch when it was set,
    `believed` at the end; `nights_before` are those of the two weeks before it.
    """

    record: NightRecord
    planned: PlannedBatch
    ended_at: datetime | None
    expected: HatchTimes
    believed: HatchTimes
    hatchable: Range | None
    looks: tuple[SeenHatch, ...]
    water: WaterSpent
    learned: tuple[Taught, ...]
    nights_before: ColdNights | None
    nights: ColdNights | None

    @property
    def vessel(self) -> VesselNight:
        """The record of the vessel."""
        return self.record.vessels[0]


@dataclass(frozen=True, slots=True)
class Account:
    """All batches that one report tells of."""

    setting: Setting
    batches: tuple[ToldBatch, ...]

    @property
    def language(self) -> str:
        """The one it is written in."""
        return self.setting.language
