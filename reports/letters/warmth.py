"""What the cold and the hot letter share: water past a limit, and water that is foreseen there."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from reports import amounts, times
from reports.language import say, to_say
from reports.letters.page import Block, Facts, Heading
from reports.letters.sentences import (
    name,
    since,
)
from reports.records import Range, Setting, Span, TimeRange

_FOUND_BELOW = to_say("Found below the limit since {since}.")
_FOUND_ABOVE = to_say("Found above the limit since {since}.")
_COLDEST_SINCE = to_say("Coldest since then: {temperature}.")
_HOTTEST_SINCE = to_say("Hottest since then: {temperature}.")
FORECAST = to_say(
    "This is a forecast, made from how the room and the water went before. It may come "
    "better or worse than this."
)
# From this hour of the evening to this hour of the morning people say "tonight".
_EVENING, _MORNING = 17, 9


@dataclass(frozen=True, slots=True)
class TemperatureTrouble:
    """A cold or hot vessel. `limit_c` is the limit passed, `extreme_c` the coldest or hottest since then.

    `usual_c`: where nights before this one went the same way and came back by day, the coldest of all.
    """

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
    usual_c: float | None = None


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


def known(setting: Setting, troubles: Sequence[TemperatureTrouble]) -> list[Block]:
    return [
        Heading(say("What is known")),
        *(Facts(name(trouble), _facts(setting, trouble)) for trouble in troubles),
    ]


def _facts(setting: Setting, trouble: TemperatureTrouble) -> tuple[str, ...]:
    unit, now = setting.unit, setting.written_at
    cold = trouble.kind == "cold"
    found, most = (_FOUND_BELOW, _COLDEST_SINCE) if cold else (_FOUND_ABOVE, _HOTTEST_SINCE)
    lines = [
        say("Water now: {temperature}.", temperature=amounts.temperature(trouble.water_c, unit)),
        say("Limit: {temperature}.", temperature=amounts.temperature(trouble.limit_c, unit)),
        say(found, since=since(trouble.since, now)),
        say(most, temperature=amounts.temperature(trouble.extreme_c, unit)),
    ]
    if trouble.room_c is not None:
        lines.append(say("Room air: {temperature}.", temperature=amounts.temperature(trouble.room_c, unit)))
    coming = trouble.water_c_min_next_16h
    if coming is not None and cold:
        lines.append(
            say(
                "Coldest in the next 16 hours (a forecast): {temperature}.",
                temperature=amounts.temperature_range(coming, unit),
            )
        )
    return (*lines, *_hatch_facts(setting, trouble))


def _hatch_facts(setting: Setting, trouble: TemperatureTrouble) -> list[str]:
    lines = []
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
        say("Water now: {temperature}.", temperature=amounts.temperature(one.water_c, unit)),
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


def foreseen_time(span: Span, now: datetime) -> str:
    """ "tonight", "tomorrow night", "today", "tomorrow", "on Saturday 16 January"."""
    return _night(span, now) or times.on_day(_began(span, now), now)


def foreseen_time_short(span: Span, now: datetime) -> str:
    """The same for a subject: "Saturday"."""
    began = _began(span, now)
    return _night(span, now) or (
        times.day(began, now) if times.is_named(began, now) else times.weekday(began)
    )


def _began(span: Span, now: datetime) -> datetime:
    return max(span.began.astimezone(now.tzinfo), now, key=datetime.timestamp)


def _night(span: Span, now: datetime) -> str | None:
    """ "tonight" or "tomorrow night", where it begins in one of the two."""
    began = _began(span, now)
    evening = began.date() if began.hour >= _EVENING else began.date() - timedelta(days=1)
    at_night = began.hour >= _EVENING or began.hour < _MORNING
    this_night = now.date() if now.hour >= _MORNING else now.date() - timedelta(days=1)
    nights = (evening - this_night).days if at_night else None
    if nights == 0:
        return say("tonight")
    return say("tomorrow night") if nights == 1 else None
