"""One vessel: how it stands, what is known of it, what was done to it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from reports import times, words
from reports.language import in_its_language, say, to_say
from reports.letters.known import fact_lines
from reports.letters.pouring import due_lines
from reports.letters.sentences import CALCULATED, WIDE
from reports.letters.vessel_night import vessel_known
from reports.page.shelf import First, Standing, first_of_all, shelf
from reports.page.task import Task
from reports.records import NightRecord, Setting

# What a chart may span, and what that is called.
DAY = "day"
SPANS: Mapping[str, str] = {
    DAY: to_say("The last day"),
    "weekend": to_say("The last weekend"),
    "batch": to_say("The whole batch"),
}


@dataclass(frozen=True, slots=True)
class LogEntry:
    """An entry of the care log: the deed in a few words, its id, its moment, when it was withdrawn."""

    id: int
    at: datetime
    text: str
    withdrawn_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class VesselWords:
    """What the view says of a vessel; `entries` are (id, line, whether taken back), the newest first."""

    standing: Standing
    first: First
    facts: tuple[str, ...]
    notes: tuple[str, ...]
    entries: tuple[tuple[int, str, bool], ...]


@in_its_language
def vessel_words(
    setting: Setting, record: NightRecord, entries: Sequence[LogEntry], found: Sequence[Task]
) -> VesselWords:
    """Of the record's one vessel, with all its tasks."""
    (vessel,) = record.vessels
    (standing,) = shelf(setting, record, found)
    calculated = vessel.batch_set_at is not None
    wide = calculated and vessel.learned_top_ups == 0
    return VesselWords(
        standing,
        first_of_all(setting, record, found),
        (*fact_lines(vessel_known(setting, record, vessel).facts), *due_lines(vessel)),
        (*((say(CALCULATED),) if calculated else ()), *((say(WIDE),) if wide else ())),
        tuple(_entry(setting, one) for one in reversed(entries)),
    )


def _entry(setting: Setting, one: LogEntry) -> tuple[int, str, bool]:
    when = times.short_dated(one.at, setting.written_at)
    line = say("{when}: {what}", when=when, what=words.clean(one.text))
    if one.withdrawn_at is not None:
        taken = times.short_dated(one.withdrawn_at, setting.written_at)
        line = say("{line} (taken back {when})", line=line, when=taken)
    return one.id, line, one.withdrawn_at is not None


@in_its_language
def spans(_setting: Setting) -> list[tuple[str, str]]:
    """What a chart may span, with its name."""
    return [(key, say(name)) for key, name in SPANS.items()]
