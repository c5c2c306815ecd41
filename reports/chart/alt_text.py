"""A chart in words for those who cannot see it: what it shows, not that it shows something."""

from collections.abc import Sequence
from datetime import datetime, timedelta

from reports import amounts, times, words
from reports.chart.finding import hatched, to_low_mark_ml, unread, warmth_of
from reports.chart.grouping import Group, groups_of
from reports.language import in_its_language, say, say_many
from reports.records import NightRecord

_MOST_NAMES = 4
_MOST_FINDINGS = 8
_HOUR, _DAY, _WEEK = timedelta(hours=1), timedelta(days=1), timedelta(days=6)


@in_its_language
def alt_text(record: NightRecord) -> str:
    """Which span, then the finding of each vessel, the worst first, and whether the station was off."""
    shown = say(
        "Chart of {station}, {began} to {ended}.",
        station=words.clean(record.station),
        began=_end(record.span.began, record),
        ended=_end(record.span.ended, record),
    )
    groups = groups_of(record)
    said = [finding_of(group, record) for group in groups[:_MOST_FINDINGS]]
    left = sum(len(group) for group in groups[_MOST_FINDINGS:])
    more = [say_many("{count} more vessel is in the chart.", "{count} more vessels are in the chart.", left)]
    return " ".join([shown, *said, *(more if left else []), *off_said(record)])


def _end(at: datetime, record: NightRecord) -> str:
    """An end of the span; with its date where the weekday alone may be taken for another."""
    if times.elapsed(record.span.began, record.span.ended) < _WEEK:
        return times.short_moment(at)
    return f"{times.short_day(at)} {times.clock(at)}"


def names_of(names: Sequence[str]) -> str:
    """ "a, b and c"; of more than a few the first and how many more."""
    if len(names) <= _MOST_NAMES:
        return words.joined(names)
    kept = _MOST_NAMES - 1
    return say("{names} and {count} more", names=", ".join(names[:kept]), count=len(names) - kept)


def finding_of(group: Group, record: NightRecord) -> str:
    """What the chart shows of some vessels that are alike, in a few sentences."""
    names = names_of([words.clean(vessel.vessel) for vessel in group])
    return " ".join([*_warmth(group, names, record), *_rest(group, record)])


def _warmth(group: Group, names: str, record: NightRecord) -> list[str]:
    seen = warmth_of(group, record)
    if seen is None:
        return [say("{vessel}: no readings of the water.", vessel=names)]
    low, high = (amounts.temperature(water_c, record.unit) for water_c in (seen.coldest_c, seen.warmest_c))
    said = []
    if seen.cold:
        said.append(
            say_many(
                "{names} was too cold for {length}, coldest {water}.",
                "{names} were too cold for up to {length}, coldest {water}.",
                len(group),
                names=names,
                length=_length(seen.cold),
                water=low,
            )
        )
    if seen.hot:
        said.append(
            say_many(
                "{names} was too hot for {length}, warmest {water}.",
                "{names} were too hot for up to {length}, warmest {water}.",
                len(group),
                names=names,
                length=_length(seen.hot),
                water=high,
            )
        )
    return said or [say("{vessel}: water from {low} to {high}.", vessel=names, low=low, high=high)]


def _length(length: timedelta) -> str:
    """In whole hours where it is long, in days where it is very long."""
    if length < 3 * _HOUR:
        return times.duration(length)
    if length >= 3 * _DAY:
        return say_many("{count} day", "{count} days", round(length / _DAY))
    return say_many("{count} hour", "{count} hours", round(length / _HOUR))


def _rest(group: Group, record: NightRecord) -> list[str]:
    """What else the chart shows of them, a sentence each."""
    alarms = [words.clean(alarm.text) for vessel in group for alarm in vessel.open_alarms]
    said = [say("Alarm: {text}.", text=words.begun(text)) for text in dict.fromkeys(alarms)]
    if any(vessel.water_c for vessel in group) and (missing := unread(group, record)):
        said.append(say("Not read for {length}.", length=_length(missing)))
    low = [ml for vessel in group if (ml := to_low_mark_ml(vessel)) is not None]
    if low and min(low) <= 0.0:
        said.append(say("The water is at the low mark or below."))
    share = hatched(group)
    if share is not None:
        said.append(say("Hatched: {share} %.", share=amounts.bare_span(share.p10 * 100, share.p90 * 100)))
    return said


def off_said(record: NightRecord) -> list[str]:
    """For how long the station was off; nothing where it never was."""
    lengths = [times.short_length(times.elapsed(off.began, off.ended)) for off in record.outages]
    return [say("The station was off for {lengths}.", lengths=words.joined(lengths))] if lengths else []
