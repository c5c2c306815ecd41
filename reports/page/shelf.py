"""The shelf: how each vessel stands in a sentence, what is to be done there, and what comes first of all."""

from collections.abc import Sequence
from dataclasses import dataclass

from reports import times, words
from reports.language import in_its_language, say
from reports.letters.night_deed import night_deed
from reports.letters.past_alarm import silenced
from reports.page.task import Task
from reports.records import NightRecord, Setting, VesselNight
from reports.vessel_line import stage_and_level, vessel_parts


@dataclass(frozen=True, slots=True)
class First:
    """What to do, with the care it takes and what is listed for it; `asks` is False where nothing is to be
    done."""

    what: str
    care: str
    steps: tuple[str, ...]
    asks: bool


@dataclass(frozen=True, slots=True)
class Standing:
    """A vessel on the shelf.

    `vessel` is its id, `name` as people read it, `short` its sentence for little room, `alarms` those
    that are open and what was silenced, `first` what to do there (None: nothing, or said of all already).
    """

    vessel: str
    name: str
    sentence: str
    short: str
    alarms: tuple[str, ...]
    first: First | None


@in_its_language
def first_of_all(setting: Setting, record: NightRecord, found: Sequence[Task]) -> First:
    """The one thing to do before all others: the first of all tasks, or that there is none."""
    if found:
        return _first(found[0], named=len(record.vessels) > 1)
    deed = night_deed(setting, record)
    return First(words.capital(deed.what), "", (), asks=False)


@in_its_language
def shelf(setting: Setting, record: NightRecord, found: Sequence[Task]) -> list[Standing]:
    """Every vessel in the order in which it stands there; `found` are all tasks."""
    return [_standing(setting, vessel, found) for vessel in record.vessels]


def _standing(setting: Setting, vessel: VesselNight, found: Sequence[Task]) -> Standing:
    own = next((one for one in found[1:] if vessel.vessel in one.about), None)
    return Standing(
        vessel.vessel,
        words.vessel_name(vessel.vessel, vessel.count),
        sentence(setting, vessel),
        _short(vessel),
        alarms(setting, vessel),
        None if own is None else _first(own, named=False),
    )


def _first(task: Task, *, named: bool) -> First:
    what = task.what
    if named and task.where and task.where not in what:
        what = say("{names}: {text}", names=task.where, text=words.begun(what))
    return First(what, " ".join(task.care), task.steps, asks=True)


def sentence(setting: Setting, vessel: VesselNight) -> str:
    """How it stands, in a line."""
    parts = map(words.capital, vessel_parts(setting, vessel))
    return " ".join(part if part.endswith(("?", ".")) else f"{part}." for part in parts)


def _short(vessel: VesselNight) -> str:
    """Stage and level, where there is room for little."""
    return "; ".join(stage_and_level(vessel))


def alarms(setting: Setting, vessel: VesselNight) -> tuple[str, ...]:
    """What is not well, and what somebody put aside."""
    now = setting.written_at
    opened = tuple(f"{words.capital(words.clean(alarm.text))}." for alarm in vessel.open_alarms)
    return opened + tuple(words.capital(silenced(alarm, now)) for alarm in vessel.silenced)


@in_its_language
def title(setting: Setting) -> str:
    """The view's."""
    return say("The shelf, {when}", when=times.moment(setting.written_at, setting.written_at))
