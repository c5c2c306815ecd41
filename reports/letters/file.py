"""The letter about a station file that is not taken, and the line about it in the station's state."""

from reports import words
from reports.letters.page import Block, Facts, Heading, Paragraph, letter, subject
from reports.letters.parts import ASK_ABOUT_STATION, action, next_letter, nobody_must_come, silence
from reports.records import LetterText, Setting
from reports.tongue import in_its_language, say, say_many
from reports.troubles import FileOverlooked

_MOST_FAULTS = 8


@in_its_language
def file_overlooked_letter(setting: Setting, trouble: FileOverlooked) -> LetterText:
    """The station file has a fault; the station goes on by the one it had."""
    told = say(
        "ask the person who set up the station to correct the file. On the station, naupliad probes --config "
        "{file} checks it. Once it is right, the station takes it up by itself.",
        file=trouble.file,
    )
    blocks: list[Block] = [
        Heading(say("What is known")),
        Facts(say("The station file"), _facts(setting, trouble)),
        Facts(say("What is wrong in it"), _faults(trouble)),
        Heading(say("What it means")),
        Paragraph(
            say(
                "The animals are as well as before, and the station watches over them as before. But what "
                "was changed in the file does not count until it is right."
            )
        ),
        action(setting, told, told),
        *nobody_must_come(setting, ASK_ABOUT_STATION),
        next_letter(setting),
        silence(setting),
    ]
    lead = say(
        "The station file of {station} has a mistake, so it was not taken. The station goes on by the one it "
        "had before.",
        station=setting.station,
    )
    told_short = subject(say("Mistake in the station file"), "", setting.station)
    return letter("storage", told_short, lead, blocks, setting)


@in_its_language
def file_overlooked_line(setting: Setting, trouble: FileOverlooked) -> str:
    """The same for `naupliad now`, with every fault on a line of its own."""
    head = say(
        "The station file {file} is not taken, since {when}:",
        file=trouble.file,
        when=words.moment(trouble.at, setting.written_at),
    )
    return "\n  ".join([head, *trouble.faults])


def _facts(setting: Setting, trouble: FileOverlooked) -> tuple[str, ...]:
    file = say("File: {file}.", file=trouble.file)
    found = say("Found wrong {when}.", when=words.moment(trouble.at, setting.written_at))
    if trouble.goes_by is None:
        return file, found
    return file, found, say("Goes by the one of {when}.", when=words.full_moment(trouble.goes_by))


def _faults(trouble: FileOverlooked) -> tuple[str, ...]:
    """As a command tells them, in English."""
    shown, left = trouble.faults[:_MOST_FAULTS], trouble.faults[_MOST_FAULTS:]
    more = (say_many("{count} more mistake", "{count} more mistakes", len(left)),) if left else ()
    return (*shown, *more)
