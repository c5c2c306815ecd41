"""The storage letter of a record that nobody collects; and the line that says so before it is full."""

from dataclasses import dataclass
from datetime import datetime

from reports import times
from reports.language import in_its_language, say, say_many
from reports.letters.blocks import Body, Facts
from reports.letters.page import letter, subject
from reports.letters.sentences import NOBODY_HAS_TO_COME, action, ending, nobody_must_come, since
from reports.records import LetterText, Setting


@dataclass(frozen=True, slots=True)
class RecordWaits:
    """What a centre is owed: how many entries wait for it, and when it last answered."""

    entries: int
    answered_at: datetime


@dataclass(frozen=True, slots=True)
class RecordFull:
    """More waits for a centre than may: since when the oldest hours are no longer kept for it."""

    since: datetime
    waits: RecordWaits


@in_its_language
def record_full_letter(setting: Setting, full: RecordFull) -> LetterText:
    """A centre that has not answered for so long that the oldest hours are given up."""
    advice = say(
        "ask the person who set up the station, or whoever runs the centre. It no longer collects the record "
        "of this station."
    )
    body = Body(
        action(setting, advice),
        besides=nobody_must_come(setting, NOBODY_HAS_TO_COME),
        known=[
            Facts(
                say("The record for the centre"),
                (
                    _answered(setting, full.waits),
                    say("Full since {since}.", since=since(full.since, setting.written_at)),
                ),
            )
        ],
        means=(
            say(
                "This changes nothing in the vessels, and the station keeps all that it has read. The centre "
                "will lack the oldest hours: the page's exports still have them."
            ),
        ),
        ending=ending(setting),
    )
    lead = say(
        "The record of {station} waits for a centre that does not answer. The oldest hours are not kept for "
        "it any more.",
        station=setting.station,
    )
    return letter("storage", subject(say("Record not collected"), "", setting.station), lead, body, setting)


@in_its_language
def record_waits_line(setting: Setting, waits: RecordWaits) -> str:
    """The same before it is full, for `naupliad now` and the page."""
    return say_many(
        "{count} entry of the record waits for the centre, which last answered {when}.",
        "{count} entries of the record wait for the centre, which last answered {when}.",
        waits.entries,
        when=times.moment(waits.answered_at, setting.written_at),
    )


def _answered(setting: Setting, waits: RecordWaits) -> str:
    return say("The centre last answered {when}.", when=times.moment(waits.answered_at, setting.written_at))
