"""The sample letter: that the post works, and what letters look like."""

from reports import amounts, times
from reports.language import in_its_language, say
from reports.letters.page import Action, Block, Paragraph, letter, subject
from reports.letters.sentences import (
    next_letter,
    silence,
)
from reports.records import LetterText, Setting


@in_its_language
def sample_letter(setting: Setting) -> LetterText:
    """A letter that shows that the post works and what letters look like."""
    blocks: list[Block] = [
        Paragraph(
            say(
                "If you can read this, letters reach you. Nothing is wrong and no vessel is meant. Each "
                "letter tells what is known and since when, what it means for the animals, one thing to "
                "do, and when the next one comes."
            )
        ),
        Paragraph(
            say(
                "A temperature looks like this: {temperature}.",
                temperature=amounts.temperature(24.5, setting.unit),
            )
        ),
        Action(say("tell the person who set up the station that this letter came.")),
        next_letter(setting),
        silence(setting),
    ]
    subject_line = subject(
        say("Sample letter, {when}", when=times.short_moment(setting.written_at)), "", setting.station
    )
    return letter(
        "sample",
        subject_line,
        say("This is a sample letter from {station}.", station=setting.station),
        blocks,
        setting,
    )
