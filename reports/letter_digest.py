"""Words for letters that had to wait: the digest that tells of many, and the note on one that goes late."""

from collections.abc import Sequence
from datetime import datetime

from reports import words
from reports.letter_page import SUBJECT_LIMIT, Block, Facts, Heading, Paragraph, letter, subject
from reports.letter_parts import action, next_letter
from reports.records import HeldLetter, LetterText, Setting

_WAYS = {"mail": "by mail", "webhook": "by the webhook", "files": "as files"}
_OVER = "trouble that is over by now"
_AGAIN = "trouble that a later letter tells of again"
_PASSED = "planned letters whose time has gone by"
_GROUPS = {"over": _OVER, "told again": _AGAIN, "passed": _PASSED}
_FATES = {
    "stands": "What it tells of still stood when the post was back; its figures are those of then.",
    "over": "What it tells of was over when the post was back. Read it as history.",
    "told again": "A later letter tells of the same again. Read this one as history.",
    "passed": "Its moment had gone by when the post was back. Read it as history.",
}


def digest_letter(setting: Setting, way: str, held: Sequence[HeldLetter]) -> LetterText:
    """One letter for all that waited in vain; `way` is the carrier that was down, `held` is never empty."""
    count = words.many(len(held), "letter")
    first = min(one.written_at for one in held)
    groups = [
        (title, [one for one in held if _GROUPS.get(one.fate, _PASSED) == title])
        for title in dict.fromkeys(_GROUPS.values())
    ]
    blocks: list[Block] = [
        Paragraph(
            f"The first of them was written {words.moment(first, setting.written_at)}. They are listed here "
            "and do not come by themselves. Trouble that still stands has a letter of its own."
        ),
        Heading("What was held back"),
        *(Facts(f"{_upper(title)}:", tuple(_line(one) for one in ones)) for title, ones in groups if ones),
        Heading("What it means"),
        Paragraph("The station went on watching meanwhile. Only its letters could not get out."),
        action(
            setting,
            "have a look at the cups, then ask who looks after the network why the post was down.",
            "have a look at the cups first. Then ask who looks after the network why the post was down.",
        ),
        next_letter(setting),
    ]
    told = subject(f"{count} held back while the post was down", "", setting.station)
    lead = f"The post was down: {count} could not go out {_WAYS.get(way, way)} in time."
    return letter("digest", told, lead, blocks, setting)


def late_note(written_at: datetime, fate: str) -> str:
    """What stands above a letter that goes as itself, but late; `fate` as in HeldLetter."""
    return (
        f"Late: this letter was written on {words.full_moment(written_at)} and could not be sent before. "
        f"{_FATES[fate]}"
    )


def late_subject(told: str) -> str:
    """The subject of a letter that goes late."""
    return words.shortened(f"Late: {told}", SUBJECT_LIMIT)


def _line(one: HeldLetter) -> str:
    return f"Letter {one.number}, written {words.full_moment(one.written_at)}: {one.subject}"


def _upper(text: str) -> str:
    return text[0].upper() + text[1:]
