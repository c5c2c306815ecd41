"""The words around what is to be done today: what comes next, and where to note what was done."""

from collections.abc import Sequence
from datetime import datetime
from math import inf

from reports import times, words
from reports.language import in_its_language, say
from reports.letters.sentences import ending
from reports.letters.stages import is_hatch_ahead
from reports.page.task import Task
from reports.page.vessel_due import VesselDue
from reports.records import NightRecord, Setting, TimeRange, VesselNight
from reports.starts import kept
from reports.starts.kept import KeptPlan

# A page has room for so many places to note something.
_MOST_LINKS = 6


@in_its_language
def title(setting: Setting) -> str:
    """The view's."""
    return say("To do, {when}", when=times.full_moment(setting.written_at))


def links(task: Task) -> list[tuple[str, str]]:
    """The vessels of a task by id, with their names, where each can be noted by itself."""
    return [(vessel, words.clean(vessel)) for vessel in task.about[:_MOST_LINKS]]


@in_its_language
def coming(
    setting: Setting,
    record: NightRecord,
    due: Sequence[VesselDue] = (),
    planned: Sequence[KeptPlan] = (),
) -> list[str]:
    """What is expected, the earliest first as far as it is known; the next letter last."""
    known = [one for vessel in record.vessels for one in _of_vessel(setting, vessel)]
    known += [_feed(setting, one, one.feed_at) for one in due if one.feed_at is not None]
    today = setting.written_at.date()
    starts = [one for one in planned if one.set_at.date() > today]
    lines = (line for _, line in kept.lines(setting, starts))
    known += zip((one.set_at.timestamp() for one in starts), lines, strict=True)
    return [*(line for _, line in sorted(known)), ending(setting)]


def _of_vessel(setting: Setting, vessel: VesselNight) -> list[tuple[float, str]]:
    now, name = setting.written_at, words.vessel_name(vessel.vessel, vessel.count)
    lines: list[tuple[float, str]] = []
    half, low = vessel.hatch_t50, vessel.low_mark_at
    if half is not None and is_hatch_ahead(vessel) and _is_ahead(half, now):
        when = times.moment_range(half, now)
        lines.append((_middle(half), say("{name}: half hatched {when}.", name=name, when=when)))
    if low is not None and low.p50 is not None and _is_ahead(low, now):
        when = times.moment_range(low, now)
        lines.append((_middle(low), say("{name}: water at the low mark {when}.", name=name, when=when)))
    return lines


def _feed(setting: Setting, one: VesselDue, at: datetime) -> tuple[float, str]:
    """When it is fed next."""
    name, when = words.vessel_name(one.vessel, one.count), times.moment(at, setting.written_at)
    return at.timestamp(), say("{name}: food is due {when} or later.", name=name, when=when)


def _is_ahead(believed: TimeRange, now: datetime) -> bool:
    """Whether it is more likely than not still to come."""
    return _middle(believed) > now.timestamp()


def _middle(believed: TimeRange) -> float:
    return inf if believed.p50 is None else believed.p50.timestamp()
