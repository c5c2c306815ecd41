"""What can be taken away from the page: a calendar, a batch for a lesson, all records."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from reports import times, words
from reports.language import in_its_language, say
from reports.records import Setting


@dataclass(frozen=True, slots=True)
class BatchToTake:
    """A batch by the number of its setting, its vessel, when it was set, when it ended (None: it runs)."""

    id: int
    vessel: str
    set_at: datetime
    ended_at: datetime | None


@in_its_language
def title(_setting: Setting) -> str:
    """The view's."""
    return say("To take away")


@in_its_language
def batch_lines(setting: Setting, batches: Sequence[BatchToTake]) -> list[tuple[int, str]]:
    """Each batch by its number, in a line, the newest first."""
    now = setting.written_at
    return [(one.id, _line(one, now)) for one in reversed(batches)]


def _line(one: BatchToTake, now: datetime) -> str:
    vessel, began = words.clean(one.vessel), times.short_dated(one.set_at, now)
    if one.ended_at is None:
        return say("{vessel}, set {when}, still running", vessel=vessel, when=began)
    ended = times.short_dated(one.ended_at, now)
    return say("{vessel}, {began} to {ended}", vessel=vessel, began=began, ended=ended)


@in_its_language
def busy(_setting: Setting) -> str:
    """What somebody hears while another copy is being made."""
    return say("Another copy is being made just now. Ask again in a moment.")
