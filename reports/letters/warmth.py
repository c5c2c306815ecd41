"""What the cold and the hot letter share: water past a limit, and water that is foreseen there."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from reports import amounts, times
from reports.language import say, to_say
from reports.letters.freshness import room_read, water_read
from reports.letters.page import Block, Facts, Heading
from reports.letters.parts_of_day import part_of_day
from reports.letters.sentences import (
    name,
    since,
)
from reports.letters.stages import hatches
from reports.records import Measured, Range, Setting, Span, TimeRange

_FOUND_BELOW = to_say("Found below the limit since {since}.")
_FOUND_ABOVE = to_say("Found above the limit since {since}.")
_PARTLY_BELOW = to_say(
    "Found below the limit since {when}, with warmer hours between: {beyond} of {whole} hours."
)
_PARTLY_ABOVE = to_say(
    "Found above the limit since {when}, with cooler hours between: {beyond} of {whole} hours."
)
_ALL_READ_BELOW = to_say("Found below the limit since {when}, all that was read: {beyond} of {whole} hours.")
_ALL_READ_ABOVE = to_say("Found above the limit since {when}, all that was read: {beyond} of {whole} hours.")
# A tenth of the time within the limit is worth a word; our own choice, no source.
_ALL_OF_IT, _WORTH_A_WORD_H = 0.9, 3
_COLDEST_SINCE = to_say("Coldest since then: {temperature}.")
_HOTTEST_SINCE = to_say("Hottest since then: {temperature}.")
FORECAST = to_say(
    "This is a forecast, made from how the room and the water went before. It may come "
    "better or worse than this."
)
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
    return [
        Heading(say("What is known")),
        *(Facts(name(trouble), _facts(setting, trouble)) for trouble in troubles),
    ]


def _facts(setting: Setting, trouble: TemperatureTrouble) -> tuple[str, ...]:
    unit, now = setting.unit, setting.written_at
    cold = trouble.kind == "cold"
    lines = [
        water_read(setting, trouble.water_c),
        say("Limit: {temperature}.", temperature=amounts.temperature(trouble.limit_c, unit)),
        _found(trouble, now),
        say(
            _COLDEST_SINCE if cold else _HOTTEST_SINCE,
            temperature=amounts.temperature(trouble.extreme_c, unit),
        ),
    ]
    if trouble.room_c is not None:
        lines.append(room_read(setting, trouble.room_c))
    coming = trouble.water_c_min_next_16h
    if coming is not None and cold:
        lines.append(
            say(
                "Coldest in the next 16 hours (a forecast): {temperature}.",
                temperature=amounts.temperature_range(coming, unit),
            )
        )
    return (*lines, *_hatch_facts(setting, trouble))


def _found(trouble: TemperatureTrouble, now: datetime) -> str:
    """Since when, and how much of it where that is not all."""
    cold, whole = trouble.kind == "cold", times.elapsed(trouble.since, now)
    whole_h, beyond_h, read_h = (
        length.total_seconds() / 3600.0 for length in (whole, trouble.beyond_for, trouble.read_for)
    )
    if beyond_h >= _ALL_OF_IT * whole_h or whole_h < _WORTH_A_WORD_H:
        return say(_FOUND_BELOW if cold else _FOUND_ABOVE, since=since(trouble.since, now))
    partly, all_read = (_PARTLY_BELOW, _ALL_READ_BELOW) if cold else (_PARTLY_ABOVE, _ALL_READ_ABOVE)
    return say(
        all_read if beyond_h >= _ALL_OF_IT * read_h else partly,
        when=times.moment(trouble.since, now),
        beyond=max(round(beyond_h), 1),
        whole=round(whole_h),
    )


def _hatch_facts(setting: Setting, trouble: TemperatureTrouble) -> list[str]:
    lines: list[str] = []
    if not hatches([trouble]):
        return lines
    if trouble.hatched_fraction is not None:
        hatched = amounts.percent_range(trouble.hatched_fraction)
        lines.append(say("Hatched so far, of those that will (calculated): {share}.", share=hatched))
    if trouble.hatch_t50 is not None:
        lines.append(
            say(
                "Half hatched (calculated): {when}.",
                when=times.moment_range(trouble.hatch_t50, setting.written_at),
            )
        )
    return lines


def known_ahead(setting: Setting, coming: Sequence[TemperatureAhead]) -> list[Block]:
    return [Heading(say("What is known")), *(Facts(name(one), _facts_ahead(setting, one)) for one in coming)]


def _facts_ahead(setting: Setting, one: TemperatureAhead) -> tuple[str, ...]:
    unit, now = setting.unit, setting.written_at
    most = amounts.temperature_range(one.extreme_c, unit)
    began, ended = times.moment(one.span.began, now), times.moment(one.span.ended, now)
    lines = [
        water_read(setting, one.water_c),
        say("Coldest to come (a forecast): {temperature}.", temperature=most)
        if one.kind == "cold"
        else say("Warmest to come (a forecast): {temperature}.", temperature=most),
        say("Limit: {temperature}.", temperature=amounts.temperature(one.limit_c, unit)),
        say("When (a forecast): from {began} to {ended}.", began=began, ended=ended),
    ]
    if one.sun:
        lines.append(say("The water warmed before as it does when the sun comes through a window."))
    return (*lines, _how_sure(one))


def _how_sure(one: TemperatureAhead) -> str:
    sign = 1.0 if one.kind == "cold" else -1.0
    believed = one.extreme_c
    surest = max(sign * believed.p10, sign * believed.p90)
    if surest < sign * one.limit_c:
        return say("How sure: at least nine chances in ten that it passes the limit.")
    if sign * believed.p50 < sign * one.limit_c:
        return say("How sure: it is more likely than not to pass the limit.")
    return say("How sure: it may pass the limit, but most likely will not.")


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
