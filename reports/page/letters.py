"""Letters on the page: each in a line, and one as it was sent."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from reports import times, words
from reports.language import in_its_language, say
from reports.letters.kinds import LETTERS
from reports.records import Setting


@dataclass(frozen=True, slots=True)
class LetterEntry:
    """A letter. `subject` is None until it has its words; `at` is when it got them, or was begun.

    `state` is held, queued, sent, parked or merged; `due_at` is when it may next go (None: it need not);
    `told_in` the id of the letter that speaks of it instead.
    """

    id: int
    number: int | None
    kind: str
    subject: str | None
    state: str
    at: datetime
    due_at: datetime | None
    sent_at: datetime | None
    told_in: int | None


@in_its_language
def listed_letters(setting: Setting, entries: Sequence[LetterEntry]) -> list[tuple[int, str, str]]:
    """Each letter's id, what it says in short, and how it fared."""
    return [(one.id, name(one), fate(setting, one)) for one in entries]


def name(one: LetterEntry) -> str:
    """Its subject; before it has one, which kind it is of."""
    if one.subject is not None:
        return words.clean(one.subject)
    return words.capital(say(LETTERS[one.kind].name)) if one.kind in LETTERS else words.clean(one.kind)


def fate(setting: Setting, one: LetterEntry) -> str:
    """Whether it went, waits, or was refused."""
    now = setting.written_at
    match one.state, one.due_at, one.sent_at:
        case "held", datetime() as due_at, _:
            return say("waits for its time, {when}", when=times.moment(due_at, now))
        case "queued", datetime() as due_at, _:
            return say("waits for the post, next try {when}", when=times.moment(due_at, now))
        case "sent", _, datetime() as sent_at:
            return say("sent {when}", when=times.moment(sent_at, now))
        case "parked", _, _:
            return say("refused by the post")
        case "merged", _, _ if one.told_in is not None:
            return say("another letter speaks of it")
        case "merged", _, _:
            return say("not sent: nothing was left to say")
    return words.clean(one.state)


@in_its_language
def letter_title(setting: Setting, one: LetterEntry) -> str:
    """The view's."""
    if one.number is None:
        return say("A letter that is not written yet")
    return say("Letter {number}, {when}", number=one.number, when=times.moment(one.at, setting.written_at))


@in_its_language
def letter_facts(setting: Setting, one: LetterEntry) -> tuple[str, ...]:
    """How it fared, and why nothing is to be read where it has no words."""
    fared = f"{words.capital(fate(setting, one))}."
    if one.subject is not None:
        return (say("Subject: {subject}", subject=words.clean(one.subject)), fared)
    return (f"{name(one)}.", fared, say("A letter gets its words when it goes, from how things stand then."))
