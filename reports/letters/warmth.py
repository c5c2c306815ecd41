"""What the cold and the hot letter share: water past a limit, and water that is foreseen there."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from reports import amounts, times
from reports.language import say, to_say
from reports.letters.blocks import Block
from reports.letters.freshness import room_read, water_read
from reports.letters.known import Fact, Known, fact, line_of
from reports.letters.known import known as known_of
from reports.letters.parts_of_day import part_of_day
from reports.letters.sentences import name
from reports.letters.stages import hatches
from reports.records import Measured, Range, Setting, Span, TimeRange

# A tenth of the time within the limit is worth a word; our own choice, no source.
_ALL_OF_IT, _WORTH_A_WORD_H = 0.9, 3
# Nearer than this the extreme is as good as what is read now; our own choice, no source.
_NEAR_K = 0.5
FORECAST = to_say("The forecast is made from how the room and the water went before.")
# Who is told "before you go" goes within these hours.
_SOON = timedelta(hours=4)


@dataclass(frozen=True, slots=True)
class TemperatureTrouble:
    """A cold or hot vessel. `limit_c` is the limit passed, `extreme_c` the coldest or hottest since `since`,
    `beyond_for` how long the water was read beyond the limit since then, of `read_for`. `lamp_lit` says that
    its lamp burns now; `stage` is one of `reports.letters.stages`. `usual_c`: where nights before this one
    went the same way and came back by day, the coldest of all. `has_heater`: a heater should hold its water.
    """

    kind: str  # "cold" or "hot"
    vessel: str
    count: int
    water_c: Measured
    limit_c: float
    extreme_c: float
    since: datetime
    beyond_for: timedelta
    read_for: timedelta
    stage: str
    vessel_kind: str
    has_lamp: bool
    lamp_lit: bool
    room_c: Measured | None
    water_c_min_next_16h: Range | None
    hatch_t50: TimeRange | None
    hatched_fraction: Range | None
    usual_c: float | None = None
    has_heater: bool = False


@dataclass(frozen=True, slots=True)
class TemperatureAhead:
    """Cold or heat to come; `extreme_c` is the coldest or hottest believed, `span` when it most likely is
    past the limit, or nearest to it.

    `limit_c` is the limit that it may pass; `sun` says that the rise looks like sun through a window,
    `lamp_lit` that the vessel's lamp burns now; `stage` is one of `reports.letters.stages`.
    """

    kind: str  # "cold" or "hot"
    vessel: str
    count: int
    water_c: Measured
    limit_c: float
    extreme_c: Range
    span: Span
    stage: str
    vessel_kind: str
    has_lamp: bool
    lamp_lit: bool
    sun: bool
    has_heater: bool = False


def known(setting: Setting, troubles: Sequence[TemperatureTrouble]) -> list[Block]:
    """What is known of each of these."""
    several = len({one.limit_c for one in troubles}) > 1
    return known_of([Known(name(one), _facts(setting, one, several)) for one in troubles], say("Vessel"))


def _facts(setting: Setting, trouble: TemperatureTrouble, several_limits: bool) -> tuple[Fact, ...]:
    """The water of one group stands in the lead, and a limit that all have beside the moment since when."""
    unit, cold = setting.unit, trouble.kind == "cold"
    facts = [
        replace(water_read(setting, trouble.water_c), value=None),
        *([Fact(say("Limit"), None, amounts.temperature(trouble.limit_c, unit))] if several_limits else []),
        _beyond(setting, trouble, several_limits),
        _extreme(setting, trouble),
    ]
    # Where a heater is to hold the water, or its place just cools, the room and what comes decide little.
    plain = not trouble.has_heater and trouble.usual_c is None
    if trouble.room_c is not None and cold:
        room = room_read(setting, trouble.room_c)
        facts.append(room if plain else replace(room, value=None))
    coming = trouble.water_c_min_next_16h
    if coming is not None and cold and trouble.usual_c is None:
        facts.append(Fact(say("Next 16 hours, coldest"), amounts.temperature_range(coming, unit)))
    return tuple(facts)


def _extreme(setting: Setting, trouble: TemperatureTrouble) -> Fact:
    """In a line only where it is another than now."""
    said = fact(
        say("Coldest") if trouble.kind == "cold" else say("Hottest"),
        amounts.temperature(trouble.extreme_c, setting.unit),
    )
    near = abs(trouble.extreme_c - trouble.water_c.value) < _NEAR_K
    return replace(said, value=None) if near else said


def _beyond(setting: Setting, trouble: TemperatureTrouble, several_limits: bool) -> Fact:
    """Since when, and how much of it where that is not all."""
    limit = amounts.temperature(trouble.limit_c, setting.unit)
    below = trouble.kind == "cold"
    label = say("Below {limit} since", limit=limit) if below else say("Above {limit} since", limit=limit)
    head = say("Below the limit since") if below else say("Above the limit since")
    when = _since(trouble, setting.written_at)
    return Fact(label, when, when, head if several_limits else None)


def _since(trouble: TemperatureTrouble, now: datetime) -> str:
    whole, began = times.elapsed(trouble.since, now), times.moment(trouble.since, now)
    whole_h, beyond_h, read_h = (
        length.total_seconds() / 3600.0 for length in (whole, trouble.beyond_for, trouble.read_for)
    )
    if beyond_h >= _ALL_OF_IT * whole_h or whole_h < _WORTH_A_WORD_H:
        return began
    figures = {"when": began, "beyond": max(round(beyond_h), 1), "whole": round(whole_h)}
    if beyond_h >= _ALL_OF_IT * read_h:
        return say("{when}, all that was read: {beyond} of {whole} hours", **figures)
    return say("{when}, {beyond} of {whole} hours", **figures)


def half_hatched(setting: Setting, troubles: Sequence[TemperatureTrouble]) -> list[str]:
    """When the hatch of the one group is half through, where one goes on; of several nothing."""
    believed = {one.hatch_t50 for one in troubles}
    half = next(iter(believed))
    if len(believed) > 1 or half is None or not hatches(troubles):
        return []
    return [say("Half hatched: {when}.", when=times.moment_range(half, setting.written_at))]


def known_ahead(setting: Setting, coming: Sequence[TemperatureAhead]) -> list[Block]:
    """What is known of what is to come for each of these."""
    several = len({one.limit_c for one in coming}) > 1
    return known_of([Known(name(one), _facts_ahead(setting, one, several)) for one in coming], say("Vessel"))


def _facts_ahead(setting: Setting, one: TemperatureAhead, several_limits: bool) -> tuple[Fact, ...]:
    unit, now = setting.unit, setting.written_at
    extreme = amounts.temperature_range(one.extreme_c, unit)
    limit = amounts.temperature(one.limit_c, unit)
    return (
        replace(water_read(setting, one.water_c), value=None),
        Fact(
            say("Coldest (forecast)") if one.kind == "cold" else say("Hottest (forecast)"),
            extreme,
            amounts.temperature(one.extreme_c.p50, unit),
        ),
        fact(say("When"), _when(one.span, now)),
        Fact(say("Limit"), limit, limit if several_limits else None),
        replace(_sure(one), value=None, head=None if several_limits else say("Passes {limit}", limit=limit)),
    )


def _when(span: Span, now: datetime) -> str:
    began, ended = (at.astimezone(now.tzinfo) for at in (span.began, span.ended))
    last = times.clock(ended) if began.date() == ended.date() else times.moment(ended, now)
    return say("{began} to {ended}", began=times.moment(began, now), ended=last)


def sure_lines(coming: Sequence[TemperatureAhead]) -> list[str]:
    """How sure it is of the one group that the limit is passed; of several, whose table says it, nothing."""
    facts = {_sure(one) for one in coming}
    return [line_of(one) for one in facts] if len(facts) == 1 else []


def _sure(one: TemperatureAhead) -> Fact:
    return fact(say("Passes the limit"), _how_sure(one))


def _how_sure(one: TemperatureAhead) -> str:
    """How sure it is that the limit is passed."""
    sign = 1.0 if one.kind == "cold" else -1.0
    believed = one.extreme_c
    surest = max(sign * believed.p10, sign * believed.p90)
    if surest < sign * one.limit_c:
        return say("at least nine times in ten")
    if sign * believed.p50 < sign * one.limit_c:
        return say("more likely than not")
    return say("perhaps, but most likely not")


def is_likely(one: TemperatureAhead) -> bool:
    sign = 1.0 if one.kind == "cold" else -1.0
    return sign * one.extreme_c.p50 < sign * one.limit_c


def about(setting: Setting, one: TemperatureAhead) -> str:
    return amounts.temperature(one.extreme_c.p50, setting.unit, 0)


def foreseen_time(one: TemperatureAhead, now: datetime) -> str:
    """When it begins: "tonight", "this morning", "on Saturday 16 January"."""
    began = _began(one, now)
    return part_of_day(began, one.span.ended, now) or times.on_day(began, now)


def foreseen_time_short(one: TemperatureAhead, now: datetime) -> str:
    """The same for a subject: "Saturday"."""
    began = _began(one, now)
    return part_of_day(began, one.span.ended, now) or (
        times.day(began, now) if times.is_named(began, now) else times.weekday(began)
    )


def _began(one: TemperatureAhead, now: datetime) -> datetime:
    return max(one.span.began.astimezone(now.tzinfo), now, key=datetime.timestamp)


def goes_before(setting: Setting, coming: Sequence[TemperatureAhead]) -> bool:
    """Whether who is in the room leaves it soon, and before what is to come."""
    leaves_at, now = setting.leaves_at, setting.written_at
    return (
        setting.attended_now
        and leaves_at is not None
        and times.elapsed(now, leaves_at) <= _SOON
        and all(leaves_at.timestamp() <= one.span.began.timestamp() for one in coming)
    )
