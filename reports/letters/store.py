"""The letter about a store that could no longer be read: what was kept, and what must be told anew."""

from datetime import datetime

from reports import words
from reports.letters.page import Block, Facts, Heading, Paragraph, letter, subject
from reports.letters.parts import ASK_ABOUT_STATION, action, next_letter, nobody_must_come, silence
from reports.records import LetterText, Setting
from reports.tongue import in_its_language, say
from reports.troubles import StoreLost


@in_its_language
def store_lost_letter(setting: Setting, lost: StoreLost) -> LetterText:
    """The station's store was broken; a backup took its place, or an empty one."""
    told = _for_backup(setting, lost.backup_until) if lost.backup_until else _for_empty()
    blocks: list[Block] = [
        Heading(say("What is known")),
        Facts(say("The station's store"), _facts(setting, lost)),
        Heading(say("What it means")),
        Paragraph(_means(lost)),
        action(setting, told, told),
        *nobody_must_come(setting, ASK_ABOUT_STATION),
        next_letter(setting),
        silence(setting),
    ]
    lead = say("The store of {station} was damaged. The station reads again.", station=setting.station)
    return letter(
        "storage", subject(say("Station's store was damaged"), "", setting.station), lead, blocks, setting
    )


def _facts(setting: Setting, lost: StoreLost) -> tuple[str, ...]:
    found = say("Found damaged {when}.", when=words.moment(lost.at, setting.written_at))
    kept = say("The damaged file is kept as {file}.", file=lost.kept_as)
    if lost.backup_until is None:
        return found, kept, say("No backup was found; the station began with an empty store.")
    until = words.moment(lost.backup_until, setting.written_at)
    return found, kept, say("A backup took its place; its last reading is from {when}.", when=until)


def _means(lost: StoreLost) -> str:
    if lost.backup_until is None:
        return say(
            "The animals are as well as before. But the station no longer knows what is in the cups, and "
            "sends no word about them until it is told."
        )
    return say(
        "The animals are as well as before. The station does not know what was read and told after that."
    )


def _for_empty() -> str:
    return say(
        "tell the station anew what is in the cups, with the time they were set. Then ask the person who set "
        "up the station to keep the damaged file and to put in another memory card soon: a card that damages "
        "one file will damage others."
    )


def _for_backup(setting: Setting, until: datetime) -> str:
    return say(
        "tell the station anew what was done with the cups after {when}. Then ask the person who set up the "
        "station to keep the damaged file and to put in another memory card soon: a card that damages one "
        "file will damage others.",
        when=words.moment(until, setting.written_at),
    )
