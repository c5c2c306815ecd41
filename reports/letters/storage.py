"""Two of the storage letters: the card is nearly full, the station file is not taken."""

from dataclasses import dataclass
from datetime import datetime

from reports import amounts, times, words
from reports.language import in_its_language, say, say_many, to_say
from reports.letters.blocks import Body, Facts
from reports.letters.page import letter, subject
from reports.letters.sentences import (
    ASK_ABOUT_STATION,
    action,
    ending,
    nobody_must_come,
    since,
)
from reports.records import LetterText, Setting

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
class FileOverlooked:
    """A station file that is not taken: its path, a line for each fault, and of when the one gone by is."""

    at: datetime
    file: str
    faults: tuple[str, ...]
    goes_by: datetime | None


@in_its_language
def storage_letter(setting: Setting, trouble: StorageTrouble) -> LetterText:
    """A memory card that is nearly full."""
    left = amounts.room(trouble.free_mb)
    advice = say(
        "ask the person who set up the station to make room on its memory card. The file "
        "station.db must stay: it holds all readings."
    )
    card = (
        say("Wanted: at least {size}.", size=amounts.room(trouble.least_mb)),
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
