"""When it was: the moments that can be chosen at a tap, and what is asked where the clocks were changed."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from reports import times
from reports.language import in_its_language, say
from reports.records import Setting

_MORNING, _EVENING = 8, 18
_HOUR = timedelta(hours=1)
# Of less than that nobody says "this morning": it is now, or an hour ago.
_APART = timedelta(minutes=90)


@dataclass(frozen=True, slots=True)
class When:
    """The choice of a moment. `quick` are (value, words); `chosen` is the value of one of them.

    `typed` is what was put into the field for any moment, `latest` what that takes at most; `readings` are
    the two moments that `typed` may mean, as (value, words); `fault` is what is wrong."""

    quick: tuple[tuple[str, str], ...]
    chosen: str
    typed: str
    latest: str
    readings: tuple[tuple[str, str], ...] = ()
    fault: str = ""


@in_its_language
def when(
    setting: Setting,
    chosen: str,
    typed: str,
    *,
    was: datetime | None = None,
    readings: Sequence[tuple[str, datetime]] = (),
    fault: str = "",
) -> When:
    """What can be chosen now; `was` is the moment of an entry that is changed. A moment chosen before stays.

    `readings` are the values and moments that `typed` may mean.
    """
    now = setting.written_at
    quick = [_quick(was, say("as it was, {when}", when=times.moment(was, now)))] if was else []
    quick += [("now", say("now")), *_earlier(now)]
    if chosen not in [value for value, _ in quick] and _is_moment(chosen):
        quick.append((chosen, times.moment(datetime.fromtimestamp(int(chosen), now.tzinfo), now)))
    known = [value for value, _ in quick]
    return When(
        tuple(quick),
        chosen if chosen in known else known[0],
        typed,
        f"{now:%Y-%m-%dT%H:%M}",
        tuple(_reading(value, at, readings) for value, at in readings),
        fault,
    )


def _earlier(now: datetime) -> list[tuple[str, str]]:
    hour_ago = datetime.fromtimestamp(now.timestamp() - _HOUR.total_seconds(), now.tzinfo)
    found = [_quick(hour_ago, say("an hour ago, {clock}", clock=times.clock(hour_ago)))]
    morning = now.replace(hour=_MORNING, minute=0, second=0, microsecond=0, fold=0)
    if times.elapsed(morning, now) >= _APART:
        found.append(_quick(morning, say("this morning, {clock}", clock=times.clock(morning))))
    evening = (morning - timedelta(days=1)).replace(hour=_EVENING)
    found.append(_quick(evening, say("yesterday evening, {clock}", clock=times.clock(evening))))
    return found


def _quick(at: datetime, said: str) -> tuple[str, str]:
    return str(int(at.timestamp())), said


def _is_moment(value: str) -> bool:
    return value.isascii() and value.isdigit() and len(value) <= 10


def _reading(value: str, at: datetime, readings: Sequence[tuple[str, datetime]]) -> tuple[str, str]:
    """Of a time that the clocks showed twice, or never: which of both."""
    (_, first), (_, second) = readings[0], readings[-1]
    clock = times.clock(at)
    if first.replace(tzinfo=None) != second.replace(tzinfo=None):
        return value, say("when the clock showed {clock}", clock=clock)
    if at == first and at.utcoffset() == first.utcoffset():
        return value, say("the first {clock} of that night", clock=clock)
    return value, say("the second {clock} of that night", clock=clock)


@in_its_language
def two_times(_setting: Setting) -> str:
    """Where a moment was chosen and another one typed."""
    return say("Two times were given. Choose “now”, or empty the field.")


@in_its_language
def which_of_both(_setting: Setting, readings: Sequence[datetime]) -> str:
    """Where the clocks were changed at that time."""
    if readings[0].replace(tzinfo=None) != readings[-1].replace(tzinfo=None):
        return say("The clocks skipped that time. Say below which is meant.")
    return say("The clocks showed that time twice. Say below which is meant.")
