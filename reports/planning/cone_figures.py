"""The figures that a cone's card is made from: plain records. Hours count from the setting of the cysts."""

from dataclasses import dataclass
from datetime import date, datetime, time

from reports.planning.rests_on import RestsOn
from reports.planning.warned import AlarmedTin, UnknownTin
from reports.records import Range


@dataclass(frozen=True, slots=True)
class TwoHarvests:
    """Where the first feed before the last have hatched: how likely that is, when to draw the first time, and
    what share is out then. `advised`: it is more likely than not."""

    chance: float
    first_h: Range
    first_out: Range
    advised: bool


@dataclass(frozen=True, slots=True)
class ConeRhythm:
    """A harvest at `at` of every day: set each cone `after_h` before, by the clock at `set_clock`.

    `days_before` is how many days that is earlier; `cones` take turns. `out` is what share has hatched then.
    """

    at: time
    after_h: float
    set_clock: time
    days_before: int
    cones: int
    out: Range


@dataclass(frozen=True, slots=True)
class ConeDay:
    """A harvest of one day. `set_at` is None where nobody is there then (`attended` False), or in time.

    `is_open`: nine in ten have most likely hatched by then.
    """

    day: date
    at: datetime
    attended: bool
    set_at: datetime | None
    cone: int
    out: Range | None
    is_open: bool = True


@dataclass(frozen=True, slots=True)
class WouldDo:
    """At which hour, or in how warm water, every harvest would be open; None where none is known."""

    at: time | None
    water_c: float | None


@dataclass(frozen=True, slots=True)
class ColdHold:
    """What share of animals was alive after so many hours at so many °C."""

    low_c: float
    high_c: float
    hours: float
    alive: float


@dataclass(frozen=True, slots=True)
class ConeFigures:
    """A cone before it is set. Under `hold_below_c` animals keep `hold_h`, at most `hold_per_l` in a litre.

    `days` are harvests of a week at `daily_at`, by a station's hours; `instead` is there where some of them
    are not open. `rhythm` is there where no hours are known. `heated`: a heater holds the water.
    """

    volume_ml: float
    cysts_g: float
    water_c: float
    heated: bool
    half_h: Range
    opens_h: Range
    closes_h: Range
    rests_on: RestsOn
    two: TwoHarvests | None
    animals: Range
    tested: bool
    hold_l: Range
    hold_below_c: float
    hold_h: float
    hold_per_l: float
    colder: ColdHold
    most_cysts_g: float
    air_enough: bool
    salt_g_per_kg: float
    good_salt_g_per_kg: tuple[float, float]
    rhythm: ConeRhythm | None = None
    daily_at: time | None = None
    days: tuple[ConeDay, ...] = ()
    cones: int = 0
    unknown_tin: UnknownTin | None = None
    alarmed_tin: AlarmedTin | None = None
    instead: WouldDo | None = None
