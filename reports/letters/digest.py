"""Words for letters that had to wait: the digest that lists them, and the note on one that goes late."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from reports import times, words
from reports.language import in_its_language, say, say_many, to_say
from reports.letters.page import SUBJECT_LIMIT, Block, Facts, Heading, Paragraph, letter, subject
from reports.letters.sentences import action, next_letter
from reports.records import LetterText, Setting

_OVER = to_say("Trouble that is over by now:")
_AGAIN = to_say("Trouble that a later letter tells of again:")
_PASSED = to_say("Planned letters whose time has gone by:")
_GROUPS = {"over": _OVER, "told again": _AGAIN, "passed": _PASSED}
_FATES = {
    "stands": to_say("What it tells of still stood when the post was back; its figures are those of then."),
    "over": to_say("What it tells of was over when the post was back. Read it as history."),
    "told again": to_say("A later letter tells of the same again. Read this one as history."),
    "passed": to_say("Its moment had gone by when the post was back. Read it as history."),
}


@dataclass(frozen=True, slots=True)
class HeldLetter:
    """A letter that waited for the post until its moment had gone by.

    `fate` is what has become of its matter: "over", "told again", "stands" or "passed".
    """

    number: int
    kind: str
    subject: str
    written_at: datetime
    fate: str


@in_its_language
def digest_letter(setting: Setting, way: str, held: Sequence[HeldLetter]) -> LetterText:
    """One letter for all that waited in vain; `way` is the carrier that was down, `held` is never empty."""
    first = min(one.written_at for one in held)
    groups = [
        (title, [one for one in held if _GROUPS.get(one.fate, _PASSED) == title])
        for title in dict.fromkeys(_GROUPS.values())
    ]
    blocks: list[Block] = [
        Paragraph(
            say(
                "The first of them was written {when}. They are listed here and do not come by themselves. "
                "Trouble that still stands has a letter of its own.",
                when=times.moment(first, setting.written_at),
            )
        ),
        Heading(say("What was held back")),
        *(Facts(say(title), tuple(_line(one) for one in ones)) for title, ones in groups if ones),
        Heading(say("What it means")),
        Paragraph(say("The station went on watching meanwhile. Only its letters could not get out.")),
        action(
            setting,
            say("have a look at the vessels, then ask who looks after the network why the post was down."),
            say(
                "have a look at the vessels first. Then ask who looks after the network why the post was "
                "down."
            ),
        ),
        next_letter(setting),
    ]
    held_back = say_many(
        "{count} letter held back while the post was down",
        "{count} letters held back while the post was down",
        len(held),
    )
    return letter("digest", subject(held_back, "", setting.station), _lead(way, len(held)), blocks, setting)


def _lead(way: str, count: int) -> str:
    match way:
        case "mail":
            return say_many(
                "The post was down: {count} letter could not go out by mail in time.",
                "The post was down: {count} letters could not go out by mail in time.",
                count,
            )
        case "webhook":
            return say_many(
                "The post was down: {count} letter could not go out by the webhook in time.",
                "The post was down: {count} letters could not go out by the webhook in time.",
                count,
            )
        case "files":
            return say_many(
                "The post was down: {count} letter could not go out as files in time.",
                "The post was down: {count} letters could not go out as files in time.",
                count,
            )
    return say_many(
        "The post was down: {count} letter could not go out {way} in time.",
        "The post was down: {count} letters could not go out {way} in time.",
        count,
        way=way,
    )


def late_note(written_at: datetime, fate: str) -> str:
    """What stands above a letter that goes as itself, but late; `fate` as in HeldLetter."""
    late = say(
        "Late: this letter was written on {when} and could not be sent before.",
        when=times.full_moment(written_at),
    )
    return f"{late} {say(_FATES[fate])}"


def late_subject(written: str) -> str:
    """The subject of a letter that goes late."""
    return words.shortened(say("Late: {subject}", subject=written), SUBJECT_LIMIT)


def _line(one: HeldLetter) -> str:
    return say(
        "Letter {number}, written {when}: {subject}",
        number=one.number,
        when=times.full_moment(one.written_at),
        subject=one.subject,
    )
