"""A planned start as reports are made from: local times, chances from 0 to 1."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from reports.records import Range, Span


@dataclass(frozen=True, slots=True)
class Moments:
    """When a share of the hatchable has hatched: early, likely, late.

    None where that is later than `looked_until`, to which it is calculated, or never.
    """

    p10: datetime | None
    p50: datetime | None
    p90: datetime | None
    looked_until: datetime


@dataclass(frozen=True, slots=True)
class Option:
    """A moment to set cysts at; `good` is from when to when of that day it is about as good.

    `share_in_lesson` is the chance that half of them have hatched within the lesson, `under_way` that in the
    lesson hatching has begun (a tenth) and is not over (nine tenths). `out` is the share hatched as it
    begins, where it is set so that animals swim in it already.
    """

    set_at: datetime
    good: Span
    t10: Moments
    t50: Moments
    t90: Moments
    share_in_lesson: float
    under_way: float
    out: Range | None = None


@dataclass(frozen=True, slots=True)
class Hedge:
    """Two cups set at two moments, and the chance that one of them or both meet the lesson."""

    first: datetime
    second: datetime
    share_in_lesson: float


@dataclass(frozen=True, slots=True)
class OtherWay:
    """This lesson set while nobody is there, or another lesson; when it is set, the chance that half of them
    hatch within it, and that hatching is under way in it. `out` is the share hatched as it begins, where
    animals are to swim in it already."""

    lesson: Span
    set_at: datetime
    share_in_lesson: float
    under_way: float
    out: Range | None = None


@dataclass(frozen=True, slots=True)
class Swimmers:
    """Set so early, animals swim when the lesson begins: the share hatched by then, and half of them when."""

    set_at: datetime
    hatched: Range
    half_at: datetime


@dataclass(frozen=True, slots=True)
class Warned:
    """What speaks against it: a kind of `daemon.planning.start_warnings`, with its figures."""

    kind: str
    span: Span | None
    share: float | None
    water_c: float | None


@dataclass(frozen=True, slots=True)
class Pictured:
    """The share of the hatchable that has hatched by a moment."""

    at: datetime
    hatched: Range


@dataclass(frozen=True, slots=True)
class Day:
    """One thing to do or to expect: a kind of `daemon.planning.fortnight`."""

    kind: str
    span: Span


@dataclass(frozen=True, slots=True)
class PlannedStart:
    """The whole plan. `tin` is empty where none was named, and not `tin_known` where nobody knows it;
    `tin_asked` says that its hatches were looked up. The
    vessel stands for so many `vessels` alike, each filled to its mark; `day_c` is None where the water is
    as the station learned it, and `night_c` where nobody said. `if_known`, `if_warm` are chances with a tin
    known from earlier hatches and at a steady 25 °C. `heater_c` is where the vessel's heater holds it, °C.
    Where no option is, or it may hatch later than is calculated, there are no `days`. `other_ways` and
    `swimmers` are what else there is where the lesson is hardly met. `assumed_hours`: "waking" or "school"
    where no file names the hours in which people are there, else empty.
    """

    station: str
    language: str
    unit: str
    made_at: datetime
    lesson: Span
    vessel: str
    vessels: int
    mark_ml: float
    tin: str
    tin_known: bool
    tin_learned: bool
    tin_asked: bool
    day_c: float | None
    night_c: float | None
    heater_c: float | None
    options: Sequence[Option]
    hedge: Hedge | None
    if_known: float | None
    if_warm: float | None
    other_ways: Sequence[OtherWay]
    swimmers: Swimmers | None
    warnings: Sequence[Warned]
    picture: Sequence[Pictured]
    days: Sequence[Day]
    assumed_hours: str
