"""The sample letter: that the post works, and what letters look like."""

from reports import amounts, times
from reports.language import in_its_language, say
from reports.letters.blocks import Action, Body
from reports.letters.page import letter, subject
from reports.letters.sentences import ending
from reports.records import LetterText, Setting


@in_its_language
def sample_letter(setting: Setting) -> LetterText:
    """A letter that shows that the post works and what letters look like."""
    body = Body(
        Action(say("tell the person who set up the station that this letter came.")),
        means=(
            say("If you can read this, letters reach you. Nothing is wrong, and no vessel is meant."),
            say(
                "Each letter says first what is wrong and one thing to do. Then it says what is known, what "
                "it means, and when the next one comes."
            ),
            say(
                "A temperature looks like this: {temperature}.",
                temperature=amounts.temperature(24.5, setting.unit),
            ),
        ),
        ending=ending(setting, silence=True),
    )
    short = say("Sample letter, {when}", when=times.short_moment(setting.written_at))
    lead = say("This is a sample letter from {station}.", station=setting.station)
    return letter("sample", subject(short, "", setting.station), lead, body, setting)
