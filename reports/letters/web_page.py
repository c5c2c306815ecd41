"""A letter as an HTML page, for any scheme of colours, any width and paper; it loads nothing."""

import re
from collections.abc import Mapping, Sequence

from reports import words
from reports.language import current, say
from reports.letters.blocks import Action, Block, Caution, Facts, Heading, Paragraph, Picture, Table
from reports.letters.plain import CARE, DO, glued

# As the library's `html.escape` has them, which brings the names of two thousand signs along.
_ESCAPES = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "'": "&#x27;"})
_COMMAND = re.compile(r"naupliad [a-z].*")
# Names and options, which browsers would break at a hyphen; what is longer may be broken.
_HYPHENED = re.compile(r"(?<![\w&;-])(?:--\w{1,20}|\w[\w.]{0,16}(?:-[\w.]{1,12}){1,2})(?![\w-])")
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


def web_page(
    title: str, lead: str, blocks: Sequence[Block], signature: str, held: Mapping[str, str] | None = None
) -> str:
    """The whole page. A picture comes with a letter beside it, but for those whose content, as an address
    (`data:`, RFC 2397), `held` has by their names: they stand in the page itself.
    """
    inside = "\n".join(
        (
            f'<h1 style="{_LEAD}">{_set(lead)}</h1>',
            *(_html_of(block, held or {}) for block in blocks),
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


def footed(page: str, line: str, address: str = "") -> str:
    """The page with one more line at its foot; an `address` after it is a link."""
    shown = _escaped(address)
    link = f' <a href="{shown}">{shown}</a>' if address else ""
    return page.replace("</main>", f'<p style="font-size:.9em">{_safe(line)}{link}</p>\n</main>')


def _safe(text: str) -> str:
    return _escaped(glued(text))


def _escaped(text: str) -> str:
    return text.translate(_ESCAPES)


def _set(text: str) -> str:
    return _unbroken(_safe(text))


def _unbroken(page: str) -> str:
    return _HYPHENED.sub(r'<span style="white-space:nowrap">\g<0></span>', page)


def _line(text: str) -> str:
    """A line that may hold a command to copy, up to its end: it stands as code."""
    command = _COMMAND.search(text)
    if command is None:
        return _set(text)
    before = _set(text[: command.start()])
    copied = _unbroken(_escaped(words.clean(command[0])))
    return f'{before}{" " if before else ""}<code style="{_CODE}">{copied}</code>'


def _html_of(block: Block, held: Mapping[str, str]) -> str:
    match block:
        case Paragraph(text):
            return f"<p>{_set(text)}</p>"
        case Heading(text):
            return f'<h2 style="{_TITLE}">{_set(text)}</h2>'
        case Facts(title, lines):
            items = "\n".join(f'<li style="margin:.2em 0">{_line(line)}</li>' for line in lines)
            head = f'<h2 style="{_TITLE}">{_set(title)}</h2>\n' if title else ""
            return f'{head}<ul style="margin:.2em 0 .9em;padding-left:1.2em">\n{items}\n</ul>'
        case Table(head, rows):
            return _html_table(head, rows)
        case Action(text):
            return _box(_ACTION, say(DO), text)
        case Caution(text):
            return _box(_CAUTION, say(CARE), text)
        case Picture(cid, alt) if cid in held:
            return f'<p><img src="{_escaped(held[cid])}" alt="{_safe(alt)}" style="{_PICTURE}"></p>'
        case Picture(cid, alt):
            shown = f'<img src="cid:{_escaped(cid)}" alt="{_safe(alt)}" style="{_PICTURE}">'
            return f'<p><a href="cid:{_escaped(cid)}">{shown}</a></p>'


def _box(style: str, name: str, text: str) -> str:
    return f'<p class="box" style="{style}"><strong>{_set(name)}</strong> {_set(words.begun(text))}</p>'


def _html_table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    heads = "".join(f'<th scope="col" style="{_CELL}">{_set(one)}</th>' for one in head)
    lines = "\n".join(f"<tr>{_html_row(head, row)}</tr>" for row in rows)
    return f'<table style="{_TABLE}">\n<thead><tr>{heads}</tr></thead>\n<tbody>\n{lines}\n</tbody>\n</table>'


def _html_row(head: Sequence[str], row: Sequence[str]) -> str:
    name = f'<th scope="row" class="name" style="{_CELL}">{_set(row[0])}</th>'
    return name + "".join(_html_cell(of, cell) for of, cell in zip(head[1:], row[1:], strict=True))


def _html_cell(head: str, cell: str) -> str:
    """With its column's head, which only a phone shows."""
    label = f'<span class="label" style="display:none">{_set(head)}: </span>'
    kind = "cell" if any(map(str.isalnum, cell)) else "cell none"
    return f'<td class="{kind}" style="{_CELL}">{label}{_set(cell)}</td>'
