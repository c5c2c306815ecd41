"""What the station keeps, on the page: room on its disk, its records and copies, its clock, its file."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from reports import amounts, times, words
from reports.language import in_its_language, say, spoken
from reports.letters.record_full import RecordWaits, record_waits_line
from reports.letters.storage import FileOverlooked
from reports.page.masked import masked
from reports.records import Setting

_LEAST_MB = 1.0  # less is written as so much


@dataclass(frozen=True, slots=True)
class Keeping:
    """What is kept. `free_mb` is room on the disk, `records_mb` what the records take (None: nobody can say);
    `began` is the first reading, `backup` the day of the newest copy in the station's own folder; `mishaps`
    are what befell them lately, each in a sentence; `waits` is what a centre is owed that does not answer."""

    free_mb: float | None
    records_mb: float | None
    began: datetime | None
    backup: date | None
    mishaps: tuple[str, ...]
    waits: RecordWaits | None = None


@in_its_language
def title(setting: Setting) -> str:
    """The view's."""
    return say("The station, {when}", when=times.full_moment(setting.written_at))


@in_its_language
def keeping_lines(setting: Setting, keeping: Keeping) -> tuple[str, ...]:
    """Each in a line; what went wrong first."""
    lines = [*keeping.mishaps]
    if keeping.waits is not None:
        lines.append(record_waits_line(setting, keeping.waits))
    if keeping.free_mb is not None:
        lines.append(say("Free on the disk: {size}.", size=amounts.room(keeping.free_mb)))
    if keeping.records_mb is not None:
        lines.append(_records(setting, keeping.records_mb, keeping.began))
    if keeping.backup is None:
        lines.append(say("No copy of the records is in the station's own folder."))
    else:
        day = times.dated(keeping.backup, setting.written_at)
        lines.append(say("Newest copy of the records: {day}.", day=day))
    return tuple(lines)


def _records(setting: Setting, size_mb: float, began: datetime | None) -> str:
    size = amounts.room(max(size_mb, _LEAST_MB))
    if began is None:
        return say("The station's records take {size}.", size=size)
    day = times.dated(began, setting.written_at)
    return say("The station's records begin {day} and take {size}.", day=day, size=size)


@in_its_language
def clock_line(setting: Setting) -> str:
    """Whether hours and dates may be believed."""
    if setting.clock_sure:
        return say(
            "The station's clock counts as right. It shows {moment}.",
            moment=times.full_moment(setting.written_at),
        )
    return say("The station's clock may be wrong, and so may all hours and dates here.")


def name_lines(language: str, labels: Sequence[str]) -> list[str]:
    """A line for each: where it goes, and what would serve better."""
    with spoken(language):
        return [
            say(
                "{label} looks like a person's name. Letters and the calendar say it to others: a number or "
                "a creature's name serves better.",
                label=words.clean(label),
            )
            for label in labels
        ]


@in_its_language
def file_lines(setting: Setting, found: FileOverlooked | None) -> tuple[str, tuple[str, ...]] | None:
    """A station file that is not taken: since when, and its faults as the program writes them."""
    if found is None:
        return None
    when = times.moment(found.at, setting.written_at)
    head = say(
        "The station file has mistakes since {when}. The station goes on by the one it had.", when=when
    )
    faults = (fault.removeprefix(f"{found.file}: ") for fault in found.faults)
    return head, tuple(masked(fault) for fault in faults)
