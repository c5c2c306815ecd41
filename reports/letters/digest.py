"""Words for letters that had to wait: the digest that lists them, and the note on one that goes late."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from reports import times, words
from reports.language import in_its_language, say, say_many, to_say
from reports.letters.page import SUBJECT_LIMIT, Block, Body, Facts, letter, subject
from reports.letters.sentences import action, ending
from reports.records import LetterText, Setting

_OVER = to_say("Over by now:")
_AGAIN = to_say("Again in a later letter:")
_PASSED = to_say("Planned letters whose time has gone by:")
_GROUPS = {"over": _OVER, "told again": _AGAIN, "passed": _PASSED}
_FATES = {
    "stands": to_say("It still stood when sent; its figures are from then."),
    "over": to_say("It is over by now: read it as history."),
    "told again": to_say("A later letter says the same: read this as history."),
    "passed": to_say("Its time has gone by: read it as history."),
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
    body = Body(
        action(
            setting,
            say("look at the vessels. Then ask who looks after the network why the post was down."),
        ),
        known=_groups(setting, held),
        means=(
            say(
                "The station went on watching. These letters do not come by themselves any more. What still "
                "stands has a letter of its own."
            ),
        ),
        ending=ending(setting),
    )
    held_back = say_many(
        "{count} letter held back while the post was down",
        "{count} letters held back while the post was down",
        len(held),
    )
    return letter("digest", subject(held_back, "", setting.station), _lead(way, len(held)), body, setting)


def _groups(setting: Setting, held: Sequence[HeldLetter]) -> list[Block]:
    """The letters under what became of them."""
    groups = [
        (title, [one for one in held if _GROUPS.get(one.fate, _PASSED) == title])
        for title in dict.fromkeys(_GROUPS.values())
    ]
    return [Facts(say(title), tuple(_line(setting, one) for one in ones)) for title, ones in groups if ones]


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
                "The post was down: {count} letter could not go out over the web in time.",
                "The post was down: {count} letters could not go out over the web in time.",
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
    late = say("Late: written on {when}.", when=times.full_moment(written_at))
    return f"{late} {say(_FATES[fate])}"


def late_subject(written: str) -> str:
    """The subject of a letter that goes late."""
    return words.shortened(say("Late: {subject}", subject=written), SUBJECT_LIMIT)


def _line(setting: Setting, one: HeldLetter) -> str:
    return say(
        "Letter {number}, {when}: {subject}",
        number=one.number,
        when=times.moment(one.written_at, setting.written_at),
        subject=one.subject,
    )
