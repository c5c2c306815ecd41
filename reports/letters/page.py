"""The page a letter is written on: what there is room for, set once as plain text and once as HTML."""

from collections.abc import Callable, Sequence
from dataclasses import replace

from reports import times, words
from reports.language import current, say, spoken
from reports.letters.blocks import RECORD, Block, Body, Facts, Heading, Paragraph, Picture, Table
from reports.letters.kinds import LETTERS
from reports.letters.plain import plain_text, wrapped
from reports.letters.web_page import footed, web_page
from reports.records import LetterText, Setting

SUBJECT_LIMIT = 59
# So many words more than of one group (kinds.py) a further row may take, what else waits, and a further line
# to copy: our own choice.
_ROW_WORDS, _ALSO_WORDS, _LINE_WORDS = 20, 25, 10


def letter(kind: str, subject: str, lead: str, body: Body, setting: Setting) -> LetterText:
    """The letter: the lead says it in a sentence, the body the rest; signed with place and time.

    What else waits to be said stands before its ending.
    """
    written = times.full_moment(setting.written_at)
    signature = say("{station}, {when}.", station=setting.station, when=written)
    blocks = _fitting(kind, body, setting, lambda blocks: plain_text(lead, blocks, signature))
    text = plain_text(lead, blocks, signature)
    picture = next((block for block in blocks if isinstance(block, Picture)), None)
    return LetterText(
        kind,
        subject,
        text,
        web_page(subject, lead, blocks, signature),
        None if picture is None else picture.cid,
        current(),
    )


def _fitting(kind: str, body: Body, setting: Setting, text: Callable[[Sequence[Block]], str]) -> list[Block]:
    """The body's blocks: without spare lines while they are too long, with what else there is room for."""

    def fits(blocks: Sequence[Block]) -> bool:
        return _words(text(blocks)) <= _most_words(kind, blocks, setting)

    blocks = _blocks(kind, body, setting, ())
    while not fits(blocks) and any(isinstance(one, Facts) and one.spare for one in blocks):
        body = _leaner(body)
        blocks = _blocks(kind, body, setting, ())
    said: list[Block] = []
    for one in body.spare:
        more = _blocks(kind, body, setting, [*said, one])
        new = not isinstance(one, Paragraph) or " ".join(one.text.split()) not in setting.said_last
        if new and fits(more):
            said, blocks = [*said, one], more
    return blocks


def _leaner(body: Body) -> Body:
    """The body with one spare line less."""
    if (aside := _less(body.aside)) is not None:
        return replace(body, aside=aside)
    return replace(body, known=_less(body.known) or body.known)


def _less(blocks: Sequence[Block]) -> list[Block] | None:
    """The blocks with one spare line less; None where they have none."""
    for at, one in enumerate(blocks):
        if isinstance(one, Facts) and one.spare:
            return [*blocks[:at], one.without(one.spare[0]), *blocks[at + 1 :]]
    return None


def _blocks(kind: str, body: Body, setting: Setting, spare: Sequence[Block]) -> list[Block]:
    ending = [Paragraph(body.ending)] if body.ending else []
    return [*body.blocks(setting, spare), *_also(setting), *_unsure(kind, setting), *ending]


def _words(text: str) -> int:
    """How many there are, by spaces; with the letter's number, which comes later."""
    return sum(any(map(str.isalnum, word)) for word in text.split()) + 2


def _most_words(kind: str, blocks: Sequence[Block], setting: Setting) -> int:
    rows = max((len(block.rows) for block in blocks if isinstance(block, Table)), default=1)
    lines = sum(
        len(block.lines) for block in blocks if isinstance(block, Facts) and block.title == say(RECORD)
    )
    more = _ROW_WORDS * (rows - 1) + _ALSO_WORDS * len(setting.also) + _LINE_WORDS * max(lines - 1, 0)
    return LETTERS[kind].words + more


def _also(setting: Setting) -> tuple[Block, ...]:
    return (Heading(say("Also")), Facts("", setting.also)) if setting.also else ()


def numbered(written: LetterText, number: int) -> LetterText:
    """The letter with its running number at the foot: where one is missing, a letter was lost."""
    with spoken(written.language):
        line = say("Letter {number}.", number=number)
    return replace(written, text=f"{written.text}{wrapped(line)}\n", html=footed(written.html, line))


def linked(written: LetterText, address: str) -> LetterText:
    """The letter with a link to the local page at its foot: `address` is that of what it is about."""
    with spoken(written.language):
        line = say("On the local page:")
    text = f"{written.text}\n{line}\n{address}\n"  # a link that is broken into lines is none
    return replace(written, text=text, html=footed(written.html, line, address))


def _unsure(kind: str, setting: Setting) -> tuple[Block, ...]:
    """No letter gives a time that is not sure without saying so; some kinds say it for themselves."""
    if setting.clock_sure or LETTERS[kind].doubts_clock:
        return ()
    doubt = say("The station's clock may be wrong, and so may the hours and dates in this letter.")
    return (Paragraph(doubt),)


def lead_of(written: LetterText) -> str:
    """What a letter says first, for another letter to name it in a line."""
    return " ".join(written.text.split("\n\n", 1)[0].split())


def subject(lead: str, place: str, station: str) -> str:
    """ "LEAD, PLACE, STATION" in at most 59 characters: the names give way, the lead with the value last."""
    lead, place, station = words.clean(lead), words.clean(place), words.clean(station)
    parts = [lead, place, station]
    for at, least in ((2, 12), (1, 14), (2, 0), (1, 0), (0, 0)):
        over = len(_comma(parts)) - SUBJECT_LIMIT
        if over > 0:
            parts[at] = words.shortened(parts[at], max(len(parts[at]) - over, least))
    return words.shortened(_comma(parts), SUBJECT_LIMIT)


def _comma(parts: Sequence[str]) -> str:
    return ", ".join(part for part in parts if part)
