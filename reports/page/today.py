"""The words around what is to be done today: what comes next, and where to note what was done."""

from reports import times, words
from reports.language import in_its_language, say
from reports.letters.sentences import ending
from reports.letters.stages import is_hatch_ahead
from reports.page.tasks import Task
from reports.records import NightRecord, Setting, VesselNight

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
def coming(setting: Setting, record: NightRecord) -> list[str]:
    """What is expected, the earliest first as far as it is known; the next letter last."""
    lines = [line for vessel in record.vessels for line in _of_vessel(setting, vessel)]
    return [*lines, ending(setting)]


def _of_vessel(setting: Setting, vessel: VesselNight) -> list[str]:
    now, name = setting.written_at, words.vessel_name(vessel.vessel, vessel.count)
    lines = []
    hatched = vessel.hatched_fraction[-1].range if vessel.hatched_fraction else None
    ahead = is_hatch_ahead(vessel) and hatched is not None and hatched.p10 <= 0.5
    if vessel.hatch_t50 is not None and ahead:
        when = times.moment_range(vessel.hatch_t50, now)
        lines.append(say("{name}: half hatched {when}.", name=name, when=when))
    low = vessel.low_mark_at
    if low is not None and low.p50 is not None and low.p50.timestamp() > now.timestamp():
        when = times.moment_range(low, now)
        lines.append(say("{name}: water at the low mark {when}.", name=name, when=when))
    return lines
