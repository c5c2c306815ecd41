"""The storage letters: the card is nearly full, records were damaged, the station file is not taken."""

from dataclasses import dataclass
from datetime import datetime

from reports import amounts, times, words
from reports.language import in_its_language, say, say_many, to_say
from reports.letters import record
from reports.letters.blocks import Body, Facts
from reports.letters.page import letter, subject
from reports.letters.sentences import (
    ASK_ABOUT_STATION,
    NOBODY_HAS_TO_COME,
    action,
    ending,
    nobody_must_come,
    since,
)
from reports.records import LetterText, Setting

_MB_IN_A_GB = 1000.0
# The command that checks the file shows them all.
_MOST_FAULTS, _FAULT_LETTERS = 2, 110
_FULL_MB = 0.5  # less is written as none
_FULL = to_say("The memory card of {station} is full: {left} free.")
_FULL_SHORT = to_say("Card full: {left} free")
_NEARLY = to_say("The memory card of {station} is nearly full: {left} free.")
_NEARLY_SHORT = to_say("Card nearly full: {left} free")


@dataclass(frozen=True, slots=True)
class StorageTrouble:
    """A card that is nearly full."""

    free_mb: float
    least_mb: float
    since: datetime


@dataclass(frozen=True, slots=True)
class StoreLost:
    """A store that was found damaged: the name it is kept under, and what is known since.

    `backup_until` is the last reading of the backup that took its place; None where there was none. `vessels`
    are the station's.
    """

    at: datetime
    kept_as: str
    backup_until: datetime | None
    vessels: tuple[str, ...]


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


@dataclass(frozen=True, slots=True)
class FileOverlooked:
    """A station file that is not taken: its path, a line for each fault, and of when the one gone by is."""

    at: datetime
    file: str
    faults: tuple[str, ...]
    goes_by: datetime | None


@in_its_language
def storage_letter(setting: Setting, trouble: StorageTrouble) -> LetterText:
    """A memory card that is nearly full."""
    left = _size(trouble.free_mb)
    advice = say(
        "ask the person who set up the station to make room on its memory card. The file "
        "station.db must stay: it holds all readings."
    )
    card = (
        say("Wanted: at least {size}.", size=_size(trouble.least_mb)),
        say("Too little since {since}.", since=since(trouble.since, setting.written_at)),
    )
    body = Body(
        action(setting, advice),
        besides=nobody_must_come(setting, ASK_ABOUT_STATION),
        known=[Facts(say("The station's memory card"), card)],
        means=(
            say(
                "This changes nothing in the vessels. When the card is full, no reading can be kept and no "
                "letter written: then nobody would be warned."
            ),
        ),
        ending=ending(setting),
    )
    full = trouble.free_mb < _FULL_MB
    return letter(
        "storage",
        subject(say(_FULL_SHORT if full else _NEARLY_SHORT, left=left), "", setting.station),
        say(_FULL if full else _NEARLY, station=setting.station, left=left),
        body,
        setting,
    )


def _size(size_mb: float) -> str:
    if size_mb < _MB_IN_A_GB:
        return f"{amounts.number(size_mb)} MB"
    return f"{amounts.number(size_mb / _MB_IN_A_GB, 1)} GB"


@in_its_language
def store_lost_letter(setting: Setting, lost: StoreLost) -> LetterText:
    """The station's records were broken; a backup took their place, or empty ones."""
    body = Body(
        action(setting, _for_backup(setting, lost.backup_until) if lost.backup_until else _for_empty()),
        record=record.with_its_time(lost.vessels, set_anew=lost.backup_until is None),
        besides=nobody_must_come(setting, NOBODY_HAS_TO_COME),
        known=[Facts("", _records_facts(lost))],
        means=(_records_mean(lost),),
        ending=ending(setting),
    )
    lead = say("The records of {station} were damaged. The station reads again.", station=setting.station)
    subject_line = subject(say("Station's records were damaged"), "", setting.station)
    return letter("storage", subject_line, lead, body, setting)


def _records_facts(lost: StoreLost) -> tuple[str, ...]:
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
        "ask the person who set up the station to change its memory card soon: it damages what it holds."
    )


@in_its_language
def file_overlooked_letter(setting: Setting, trouble: FileOverlooked) -> LetterText:
    """The station file has a fault; the station goes on by the one it had."""
    advice = say(
        "ask the person who set up the station to correct the file. Once it is right, the station takes it "
        "up by itself."
    )
    body = Body(
        action(setting, advice),
        besides=nobody_must_come(setting, ASK_ABOUT_STATION),
        known=[
            Facts(say("What is wrong in it"), (*_faults(trouble), *_file_facts(setting, trouble))),
        ],
        means=(say("This changes nothing in the vessels. What was changed in the file does not count yet."),),
        ending=ending(setting),
    )
    lead = say(
        "The station file of {station} has a mistake.",
        station=setting.station,
    )
    subject_line = subject(say("Mistake in the station file"), "", setting.station)
    return letter("storage", subject_line, lead, body, setting)


@in_its_language
def file_overlooked_line(setting: Setting, trouble: FileOverlooked) -> str:
    """The same for `naupliad now`, with every fault on a line of its own."""
    head = say(
        "The station file {file} is not taken, since {when}:",
        file=trouble.file,
        when=times.moment(trouble.at, setting.written_at),
    )
    return "\n  ".join([head, *trouble.faults])


def _file_facts(setting: Setting, trouble: FileOverlooked) -> tuple[str, ...]:
    check = say("To check it: naupliad probes --config {file}", file=trouble.file)
    if trouble.goes_by is None:
        return say("Found wrong {when}.", when=times.moment(trouble.at, setting.written_at)), check
    return say("Goes by the one of {when}.", when=times.full_moment(trouble.goes_by)), check


def _faults(trouble: FileOverlooked) -> tuple[str, ...]:
    """As a command writes them, in English; the file stands above them once."""
    faults = [
        words.shortened(fault.removeprefix(f"{trouble.file}: "), _FAULT_LETTERS) for fault in trouble.faults
    ]
    shown, left = faults[:_MOST_FAULTS], faults[_MOST_FAULTS:]
    more = (say_many("{count} more mistake", "{count} more mistakes", len(left)),) if left else ()
    return (*shown, *more)
