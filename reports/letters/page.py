"""The page a letter is written on: blocks of words, set once as plain text and once as HTML."""

import re
import textwrap
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cache
from html import escape

from reports import times, words
from reports.language import current, say, say_in, spoken, to_say
from reports.letters.kinds import LETTERS
from reports.letters.text_table import set_out
from reports.records import LetterText, Setting

SUBJECT_LIMIT = 59
_DO, _CARE, _RECORD = to_say("Do this:"), to_say("Take care:"), to_say("Then write it in the care log:")
_COLUMNS = 72
# So many words more than of one group (kinds.py) a further row may take, and what else waits: our own choice.
_ROW_WORDS, _ALSO_WORDS = 20, 25
_NO_BREAK = "\u00a0"
_COMMAND = re.compile(r"naupliad [a-z].*")
_UNITS = r"°[CF]|mL|%|g/kg|[MG]B|lux"


@dataclass(frozen=True, slots=True)
class Paragraph:
    """A few sentences."""

    text: str


@dataclass(frozen=True, slots=True)
class Heading:
    """A line that says what follows."""

    text: str


@dataclass(frozen=True, slots=True)
class Facts:
    """Short lines under the name of what they are about; `title` may be empty.

    Those of them that are `spare` are left out where a letter grows too long, the first of them first.
    """

    title: str
    lines: tuple[str, ...]
    spare: tuple[str, ...] = ()

    def without(self, line: str) -> "Facts":
        """The same with a spare line left out."""
        kept, spare = ([one for one in part if one != line] for part in (self.lines, self.spare))
        return Facts(self.title, tuple(kept), tuple(spare))


@dataclass(frozen=True, slots=True)
class Action:
    """The one thing to do; a letter has one."""

    text: str


@dataclass(frozen=True, slots=True)
class Caution:
    """What to mind for safety while doing it."""

    text: str


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture sent along with the letter; the words hold all it shows, so plain text has no more."""

    cid: str
    alt: str


@dataclass(frozen=True, slots=True)
class Table:
    """A row for each vessel or group of them; all rows are as long as the head."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


Block = Paragraph | Heading | Facts | Table | Action | Caution | Picture


@dataclass(frozen=True, slots=True)
class Body:
    """What a letter says after its lead, in the order in which it is read.

    `action` is the one thing to do; `care` what to mind for safety meanwhile, and `record` the lines that
    write it in the care log, to copy. `besides` is what else may be done, and by whom. `known` is what is
    known, with `picture` after it; `means` what that means, and `notes` on it, in paragraphs of which none is
    said again that stood in the last letter of the kind, `spare` what is said of it only where there is room;
    `aside` is what only some look for; `ending` says when the next letter comes.
    """

    action: Action
    care: Sequence[Caution] = ()
    record: Sequence[str] = ()
    besides: Sequence[str] = ()
    known: Sequence[Block] = ()
    picture: Picture | None = None
    means: Sequence[str] = ()
    notes: Sequence[str] = ()
    spare: Sequence[Block] = ()
    aside: Sequence[Block] = ()
    ending: str = ""

    def blocks(self, setting: Setting, spare: Sequence[Block] = ()) -> list[Block]:
        """The same as blocks; of what is spare only this."""
        means, notes = (
            [one for one in part if one and " ".join(one.split()) not in setting.said_last]
            for part in (self.means, self.notes)
        )
        headed = [Heading(say("What it means"))] if means or spare else []
        return [
            self.action,
            *([Caution(" ".join(dict.fromkeys(one.text for one in self.care)))] if self.care else []),
            *([Facts(say(_RECORD), tuple(self.record))] if self.record else []),
            *(Paragraph(text) for text in self.besides if text),
            *self.known,
            *([self.picture] if self.picture else []),
            *headed,
            *map(Paragraph, [*means, *notes]),
            *spare,
            *self.aside,
        ]


def paragraphs(*texts: str) -> list[Block]:
    """Each of them, but for those that are empty."""
    return [Paragraph(text) for text in texts if text]


def letter(kind: str, subject: str, lead: str, body: Body, setting: Setting) -> LetterText:
    """The letter: the lead says it in a sentence, the body the rest; signed with place and time.

    What else waits to be said stands before its ending.
    """
    written = times.full_moment(setting.written_at)
    signature = say("{station}, {when}.", station=setting.station, when=written)
    blocks = _fitting(kind, body, setting, lambda blocks: _text(lead, blocks, signature))
    text = _text(lead, blocks, signature)
    picture = next((block for block in blocks if isinstance(block, Picture)), None)
    return LetterText(
        kind,
        subject,
        text,
        _html(subject, lead, blocks, signature),
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


def _text(lead: str, blocks: Sequence[Block], signature: str) -> str:
    parts = [_wrapped(lead), *filter(None, map(_text_of, blocks)), _wrapped(signature)]
    return "\n\n".join(parts) + "\n"


def _words(text: str) -> int:
    """How many there are, by spaces; with the letter's number, which comes later."""
    return sum(any(map(str.isalnum, word)) for word in text.split()) + 2


def _most_words(kind: str, blocks: Sequence[Block], setting: Setting) -> int:
    rows = max((len(block.rows) for block in blocks if isinstance(block, Table)), default=1)
    return LETTERS[kind].words + _ROW_WORDS * (rows - 1) + _ALSO_WORDS * len(setting.also)


def _also(setting: Setting) -> tuple[Block, ...]:
    return (Heading(say("Also")), Facts("", setting.also)) if setting.also else ()


def numbered(written: LetterText, number: int) -> LetterText:
    """The letter with its running number at the foot: where one is missing, a letter was lost."""
    with spoken(written.language):
        line = say("Letter {number}.", number=number)
    foot = f'<p style="font-size:.9em">{_safe(line)}</p>\n</main>'
    return replace(
        written, text=f"{written.text}{_wrapped(line)}\n", html=written.html.replace("</main>", foot)
    )


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


def _glued(text: str) -> str:
    return _before_units(
        say_in("stays on a line with the number before (regex)", "teaspoon|hour|minute|day|cup|g(?= of)")
    ).sub(_NO_BREAK, words.clean(text))


@cache
def _before_units(more: str) -> re.Pattern[str]:
    return re.compile(rf"(?:(?<=[\d¼½¾])|(?<=\d\.)) (?=(?:{_UNITS}|{more})(?![A-Z]))")


def _wrapped(text: str, first: str = "", rest: str = "") -> str:
    lines = textwrap.fill(
        _glued(text), _COLUMNS, initial_indent=first, subsequent_indent=rest, break_on_hyphens=False
    )
    return lines.replace(_NO_BREAK, " ")


def _text_of(block: Block) -> str:
    match block:
        case Paragraph(text):
            return _wrapped(text)
        case Heading(text):
            return f"{_wrapped(text)}\n{'-' * min(len(words.clean(text)), _COLUMNS)}"
        case Facts(title, lines):
            head = [_wrapped(title)] if title else []
            return "\n".join(head + [_wrapped(line, "- ", "  ") for line in lines])
        case Table(head, rows):
            return "\n".join(set_out([words.clean(one) for one in head], _cleaned(rows), _COLUMNS))
        case Action(text):
            return _wrapped(f"{say(_DO)} {words.begun(text)}")
        case Caution(text):
            return _wrapped(f"{say(_CARE)} {words.begun(text)}")
        case Picture():
            return ""


def _cleaned(rows: Sequence[Sequence[str]]) -> list[list[str]]:
    return [[words.clean(cell) for cell in row] for row in rows]


_BODY = (
    "margin:0 auto;max-width:38rem;padding:1rem;font:1.05rem/1.5 system-ui,sans-serif;overflow-wrap:anywhere"
)
# Half-clear colours lie well on a white and on a black ground; a border and words say the same as the colour.
_ACTION = (
    "margin:1.2em 0;padding:.7em .9em;border:2px solid #2f6fde;border-radius:.5em;"
    "background:rgba(47,111,222,.12)"
)
_CAUTION = "margin:1.2em 0;padding:.6em .9em;border-left:.4em double #c77700;background:rgba(199,119,0,.12)"
_PICTURE = "display:block;width:100%;height:auto;margin:1em 0;border-radius:.3em;background:#fff"
_LEAD = "font-size:1.25em;line-height:1.35;font-weight:600;margin:.2em 0 .8em"
_TITLE = "font-size:1.05em;margin:1.2em 0 .3em"
_CODE = (
    "font:.92em/1.5 ui-monospace,monospace;padding:.1em .3em;border-radius:.2em;"
    "background:rgba(128,128,128,.18)"
)
_TABLE = (
    "border-collapse:collapse;width:100%;margin:.6em 0;font-size:.95em;line-height:1.35;overflow-wrap:normal"
)
_CELL = (
    "text-align:left;vertical-align:top;padding:.3em .5em .3em 0;border-bottom:1px solid rgba(128,128,128,.5)"
)
# On a phone each row of a table is set as a few lines, each cell with its column's head before it; a mail
# program that knows no such rules shows the table.
_PHONE = (
    "table,tbody,tr,.name{display:block;overflow-wrap:anywhere}thead,.none{display:none!important}"
    "tr{padding:.4em 0;border-bottom:1px solid rgba(128,128,128,.5)}"
    ".name,.cell{border:0!important;padding:0 .9em 0 0!important}.cell{display:inline-block}"
    ".label{display:inline!important}"
)
# On paper a picture keeps to part of the page, and a row or box to one page.
_PRINT = (
    "body{font-size:10pt!important;max-width:none!important;padding:0!important}"
    "img{max-height:14cm;width:auto!important;max-width:100%}tr,li,.box{break-inside:avoid}"
)
_STYLE = (
    ":root{color-scheme:light dark;background:Canvas;color:CanvasText}"
    f"@media screen and (max-width:36rem){{{_PHONE}}}@media print{{{_PRINT}}}"
)


def _html(title: str, lead: str, blocks: Sequence[Block], signature: str) -> str:
    inside = "\n".join(
        (
            f'<h1 style="{_LEAD}">{_safe(lead)}</h1>',
            *map(_html_of, blocks),
            f'<p style="margin-top:1.6em;font-size:.9em">{_safe(signature)}</p>',
        )
    )
    return (
        f'<!DOCTYPE html>\n<html lang="{current()}">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        '<meta name="color-scheme" content="light dark">\n'
        f"<title>{_safe(title)}</title>\n"
        f"<style>{_STYLE}</style>\n</head>\n"
        f'<body style="{_BODY}">\n<main>\n{inside}\n</main>\n</body>\n</html>\n'
    )


def _safe(text: str) -> str:
    return escape(_glued(text))


def _line(text: str) -> str:
    """A line that may hold a command to copy, up to its end: it stands as code."""
    command = _COMMAND.search(text)
    if command is None:
        return _safe(text)
    before = _safe(text[: command.start()])
    return f'{before}{" " if before else ""}<code style="{_CODE}">{escape(words.clean(command[0]))}</code>'


def _html_of(block: Block) -> str:
    match block:
        case Paragraph(text):
            return f"<p>{_safe(text)}</p>"
        case Heading(text):
            return f'<h2 style="{_TITLE}">{_safe(text)}</h2>'
        case Facts(title, lines):
            items = "\n".join(f'<li style="margin:.2em 0">{_line(line)}</li>' for line in lines)
            head = f'<h2 style="{_TITLE}">{_safe(title)}</h2>\n' if title else ""
            return f'{head}<ul style="margin:.2em 0 .9em;padding-left:1.2em">\n{items}\n</ul>'
        case Table(head, rows):
            return _html_table(head, rows)
        case Action(text):
            return _box(_ACTION, say(_DO), text)
        case Caution(text):
            return _box(_CAUTION, say(_CARE), text)
        case Picture(cid, alt):
            shown = f'<img src="cid:{escape(cid)}" alt="{_safe(alt)}" style="{_PICTURE}">'
            return f'<p><a href="cid:{escape(cid)}">{shown}</a></p>'


def _box(style: str, name: str, text: str) -> str:
    return f'<p class="box" style="{style}"><strong>{_safe(name)}</strong> {_safe(words.begun(text))}</p>'


def _html_table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    heads = "".join(f'<th scope="col" style="{_CELL}">{_safe(one)}</th>' for one in head)
    lines = "\n".join(f"<tr>{_html_row(head, row)}</tr>" for row in rows)
    return f'<table style="{_TABLE}">\n<thead><tr>{heads}</tr></thead>\n<tbody>\n{lines}\n</tbody>\n</table>'


def _html_row(head: Sequence[str], row: Sequence[str]) -> str:
    name = f'<th scope="row" class="name" style="{_CELL}">{_safe(row[0])}</th>'
    return name + "".join(_html_cell(of, cell) for of, cell in zip(head[1:], row[1:], strict=True))


def _html_cell(head: str, cell: str) -> str:
    """With its column's head, which only a phone shows."""
    label = f'<span class="label" style="display:none">{_safe(head)}: </span>'
    kind = "cell" if any(map(str.isalnum, cell)) else "cell none"
    return f'<td class="{kind}" style="{_CELL}">{label}{_safe(cell)}</td>'
