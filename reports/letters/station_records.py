"""The storage letters about the station's records: damaged, gone, put back, or single ones set aside."""

from dataclasses import dataclass
from datetime import datetime

from reports import times, words
from reports.language import in_its_language, say, say_many
from reports.letters import record
from reports.letters.blocks import Body, Facts
from reports.letters.page import letter, subject
from reports.letters.sentences import NOBODY_HAS_TO_COME, action, ending, nobody_must_come
from reports.records import LetterText, Setting


@dataclass(frozen=True, slots=True)
class StoreLost:
    """A store that was found damaged, or gone: the name it is kept under, None where it is gone.

    `backup_until` is the last reading of the backup that took its place; None where there was none. `vessels`
    are the station's.
    """

    at: datetime
    kept_as: str | None
    backup_until: datetime | None
    vessels: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StoreSaved:
    """A store's file that was deleted or replaced, and put back; the name under which the other is kept."""

    at: datetime
    kept_as: str | None


@dataclass(frozen=True, slots=True)
class RowsSpoiled:
    """Single records that could not be true and were set aside: how many of each sort.

    `deeds` are entries of the care log. `vessels` are the station's.
    """

    at: datetime
    readings: int
    deeds: int
    others: int
    vessels: tuple[str, ...]


@in_its_language
def store_lost_letter(setting: Setting, lost: StoreLost) -> LetterText:
    """The station's records were broken; a backup took their place, or empty ones."""
    body = Body(
        action(setting, _advice(setting, lost)),
        record=record.with_its_time(lost.vessels, set_anew=lost.backup_until is None),
        besides=nobody_must_come(setting, NOBODY_HAS_TO_COME),
        known=[Facts("", _records_facts(lost))],
        means=(_records_mean(lost),),
        ending=ending(setting),
    )
    if lost.kept_as is None:
        lead = say("The records of {station} were gone. The station reads again.", station=setting.station)
        subject_line = subject(say("Station's records were gone"), "", setting.station)
    else:
        lead = say("The records of {station} were damaged. The station reads again.", station=setting.station)
        subject_line = subject(say("Station's records were damaged"), "", setting.station)
    return letter("storage", subject_line, lead, body, setting)


@in_its_language
def store_saved_letter(setting: Setting, saved: StoreSaved) -> LetterText:
    """The file of the station's records was deleted or replaced while it ran; it was put back."""
    advice = say(
        "ask the person who set up the station who changed the file station.db. Before a backup is put in "
        "its place the service must be stopped."
    )
    known = say("It was put back as it was {when}.", when=times.moment(saved.at, setting.written_at))
    other = say("What stood in its place is kept as {file}.", file=saved.kept_as or "")
    body = Body(
        action(setting, advice),
        besides=nobody_must_come(setting, NOBODY_HAS_TO_COME),
        known=[Facts("", (known, other) if saved.kept_as else (known,))],
        means=(say("This changes nothing in the vessels, and nothing is lost."),),
        ending=ending(setting),
    )
    lead = say("Somebody deleted or replaced the records of {station} while it ran.", station=setting.station)
    return letter(
        "storage", subject(say("Records deleted, and put back"), "", setting.station), lead, body, setting
    )


def _advice(setting: Setting, lost: StoreLost) -> str:
    if lost.kept_as is not None:
        return _for_backup(setting, lost.backup_until) if lost.backup_until else _for_empty()
    if lost.backup_until is None:
        return say(
            "write in the care log what is in the vessels, and when it was set. Then ask the person who set "
            "up the station who took the file away."
        )
    return say(
        "write in the care log again what was done after {when}. Then ask the person who set up the station "
        "who took the file away.",
        when=times.moment(lost.backup_until, setting.written_at),
    )


def _records_facts(lost: StoreLost) -> tuple[str, ...]:
    kept = say("The file station.db was gone.")
    if lost.kept_as is not None:
        kept = say("The damaged file is kept as {file}.", file=lost.kept_as)
    if lost.backup_until is None:
        return kept, say("No backup was found: the station began anew.")
    return kept, say("A backup took its place.")


def _records_mean(lost: StoreLost) -> str:
    if lost.backup_until is None:
        return say(
            "This changes nothing in the vessels. No letter speaks of them until the care log says what is "
            "in them."
        )
    return say("This changes nothing in the vessels. What was read and written after that is lost.")


def _for_empty() -> str:
    return say(
        "write in the care log what is in the vessels, and when it was set. Then ask the person who set up "
        "the station to keep the damaged file and to change the memory card soon."
    )


def _for_backup(setting: Setting, until: datetime) -> str:
    return say(
        "write in the care log again what was done after {when}. Then ask the person who set up the station "
        "to keep the damaged file and to change the memory card soon.",
        when=times.moment(until, setting.written_at),
    )


@in_its_language
def rows_spoiled_letter(setting: Setting, spoiled: RowsSpoiled) -> LetterText:
    """Some of the station's records were damaged and set aside; the rest goes on."""
    body = Body(
        action(setting, _for_deeds() if spoiled.deeds else _for_rows()),
        record=record.with_its_time(spoiled.vessels) if spoiled.deeds else (),
        besides=nobody_must_come(setting, NOBODY_HAS_TO_COME),
        known=[Facts("", (_set_aside(spoiled), say("They stand in the table row_set_aside of station.db.")))],
        means=(say("This changes nothing in the vessels. What was set aside does not count any more."),),
        ending=ending(setting),
    )
    lead = say(
        "Some records of {station} were damaged. The station goes on by the others.", station=setting.station
    )
    return letter(
        "storage", subject(say("Some records were damaged"), "", setting.station), lead, body, setting
    )


def _set_aside(spoiled: RowsSpoiled) -> str:
    counts = (
        say_many("{count} reading", "{count} readings", spoiled.readings) if spoiled.readings else "",
        say_many("{count} entry of the care log", "{count} entries of the care log", spoiled.deeds)
        if spoiled.deeds
        else "",
        say_many("{count} other record", "{count} other records", spoiled.others) if spoiled.others else "",
    )
    return say("Set aside: {records}.", records=words.joined([count for count in counts if count]))


def _for_deeds() -> str:
    return say(
        "look through the care log, and write in it again what is missing. Then ask the person who set up "
        "the station to change its memory card soon."
    )


def _for_rows() -> str:
    return say(
        "ask the person who set up the station to change its memory card soon. It damages what it holds."
    )
