"""The storage letters: the card is nearly full, the store was damaged, the station file is not taken."""

from dataclasses import dataclass
from datetime import datetime

from reports import amounts, times
from reports.language import in_its_language, say, say_many, to_say
from reports.letters.page import Block, Facts, Heading, Paragraph, letter, subject
from reports.letters.sentences import (
    ASK_ABOUT_STATION,
    action,
    next_letter,
    nobody_must_come,
    silence,
    since,
)
from reports.records import LetterText, Setting

_MB_IN_A_GB = 1000.0
_MOST_FAULTS = 8
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

    `backup_until` is the last reading of the backup that took its place; None where there was none.
    """

    at: datetime
    kept_as: str
    backup_until: datetime | None


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
    blocks: list[Block] = [
        Heading(say("What is known")),
        Facts(
            say("The station's memory card"),
            (
                say("Free: {left}.", left=left),
                say("Wanted: at least {size}.", size=_size(trouble.least_mb)),
                say("Too little since {since}.", since=since(trouble.since, setting.written_at)),
            ),
        ),
        Heading(say("What it means")),
        Paragraph(
            say(
                "This changes nothing in the vessels. When the card is full, no reading can be kept and no "
                "letter written: then nobody would be warned."
            )
        ),
        action(setting, advice),
        *nobody_must_come(setting, ASK_ABOUT_STATION),
        next_letter(setting),
        silence(setting),
    ]
    full = trouble.free_mb < _FULL_MB
    return letter(
        "storage",
        subject(say(_FULL_SHORT if full else _NEARLY_SHORT, left=left), "", setting.station),
        say(_FULL if full else _NEARLY, station=setting.station, left=left),
        blocks,
        setting,
    )


def _size(size_mb: float) -> str:
    if size_mb < _MB_IN_A_GB:
        return f"{amounts.number(size_mb)} MB"
    return f"{amounts.number(size_mb / _MB_IN_A_GB, 1)} GB"


@in_its_language
def store_lost_letter(setting: Setting, lost: StoreLost) -> LetterText:
    """The station's store was broken; a backup took its place, or an empty one."""
    advice = _for_backup(setting, lost.backup_until) if lost.backup_until else _for_empty()
    blocks: list[Block] = [
        Heading(say("What is known")),
        Facts(say("The station's store"), _store_facts(setting, lost)),
        Heading(say("What it means")),
        Paragraph(_store_means(lost)),
        action(setting, advice),
        *nobody_must_come(setting, ASK_ABOUT_STATION),
        next_letter(setting),
        silence(setting),
    ]
    lead = say("The store of {station} was damaged. The station reads again.", station=setting.station)
    return letter(
        "storage", subject(say("Station's store was damaged"), "", setting.station), lead, blocks, setting
    )


def _store_facts(setting: Setting, lost: StoreLost) -> tuple[str, ...]:
    found = say("Found damaged {when}.", when=times.moment(lost.at, setting.written_at))
    kept = say("The damaged file is kept as {file}.", file=lost.kept_as)
    if lost.backup_until is None:
        return found, kept, say("No backup was found; the station began with an empty store.")
    until = times.moment(lost.backup_until, setting.written_at)
    return found, kept, say("A backup took its place; its last reading is from {when}.", when=until)


def _store_means(lost: StoreLost) -> str:
    if lost.backup_until is None:
        return say(
            "This changes nothing in the vessels. But the station no longer knows what is in them, and "
            "sends no word about them until it is told."
        )
    return say(
        "This changes nothing in the vessels. The station does not know what was read and told after that."
    )


def _for_empty() -> str:
    return say(
        "tell the station anew what is in the vessels, with the time they were set. Then ask the person "
        "who set "
        "up the station to keep the damaged file and to put in another memory card soon: a card that damages "
        "one file will damage others."
    )


def _for_backup(setting: Setting, until: datetime) -> str:
    return say(
        "tell the station anew what was done with the vessels after {when}. Then ask the person who set up "
        "the "
        "station to keep the damaged file and to put in another memory card soon: a card that damages one "
        "file will damage others.",
        when=times.moment(until, setting.written_at),
    )


@in_its_language
def file_overlooked_letter(setting: Setting, trouble: FileOverlooked) -> LetterText:
    """The station file has a fault; the station goes on by the one it had."""
    advice = say(
        "ask the person who set up the station to correct the file. On the station, naupliad probes --config "
        "{file} checks it. Once it is right, the station takes it up by itself.",
        file=trouble.file,
    )
    blocks: list[Block] = [
        Heading(say("What is known")),
        Facts(say("The station file"), _file_facts(setting, trouble)),
        Facts(say("What is wrong in it"), _faults(trouble)),
        Heading(say("What it means")),
        Paragraph(
            say(
                "This changes nothing in the vessels, and the station watches over them as before. But what "
                "was changed in the file does not count until it is right."
            )
        ),
        action(setting, advice),
        *nobody_must_come(setting, ASK_ABOUT_STATION),
        next_letter(setting),
        silence(setting),
    ]
    lead = say(
        "The station file of {station} has a mistake, so it was not taken. The station goes on by the one it "
        "had before.",
        station=setting.station,
    )
    subject_line = subject(say("Mistake in the station file"), "", setting.station)
    return letter("storage", subject_line, lead, blocks, setting)


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
    file = say("File: {file}.", file=trouble.file)
    found = say("Found wrong {when}.", when=times.moment(trouble.at, setting.written_at))
    if trouble.goes_by is None:
        return file, found
    return file, found, say("Goes by the one of {when}.", when=times.full_moment(trouble.goes_by))


def _faults(trouble: FileOverlooked) -> tuple[str, ...]:
    """As a command writes them, in English."""
    shown, left = trouble.faults[:_MOST_FAULTS], trouble.faults[_MOST_FAULTS:]
    more = (say_many("{count} more mistake", "{count} more mistakes", len(left)),) if left else ()
    return (*shown, *more)
