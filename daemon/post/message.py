"""A letter as bytes for the post (RFC 5322), the same bytes for the same letter."""

import hashlib
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from email import message_from_bytes
from email.header import Header
from email.headerregistry import HeaderRegistry, MessageIDHeader, UniqueUnstructuredHeader
from email.message import EmailMessage, MIMEPart
from email.policy import SMTP, Policy
from email.utils import parseaddr
from textwrap import fill
from zoneinfo import ZoneInfo

NOBODY = "naupliad@localhost"  # stands for both ends where the station has no post


class _Subject(UniqueUnstructuredHeader):
    """A subject that is encoded whole where it is not plain ASCII.

    The library folds between two words that need encoding, and readers then drop the space (RFC 2047, 6.2).
    """

    name: str

    def fold(self, *, policy: Policy) -> str:
        """The header's lines (RFC 5322), with the policy's line ends."""
        text = Header(str(self), "utf-8" if not str(self).isascii() else "us-ascii", header_name=self.name)
        return f"{self.name}: {text.encode(linesep=policy.linesep)}{policy.linesep}"


_HEADERS = HeaderRegistry()
_HEADERS.map_to_type("subject", _Subject)  # type: ignore[arg-type]  # typeshed forgets its base
# As plain text a long id would be folded into an encoded word, and no reader would find the thread.
for _name in ("in-reply-to", "references", "content-id"):
    _HEADERS.map_to_type(_name, MessageIDHeader)  # type: ignore[arg-type]  # typeshed forgets its base
_POLICY = SMTP.clone(header_factory=_HEADERS)
_BODY_BEGINS = re.compile(r"<body[^>]*>\n?(?:<main>\n?)?")
_COLUMNS = 72
_NUMBER = "X-Naupliad-Number"


def message_id_for(station_name: str, letter_id: int, at: int, sender: str) -> str:
    """The Message-ID of a letter: the same for every try, another for every other letter.

    `at` is Unix seconds; the part after the @ is the sender's domain (RFC 5322, 3.6.4).
    """
    facts = "\n".join([station_name, str(letter_id), str(at), sender])
    return f"<naupliad.{letter_id}.{_digest(facts)}@{_domain(sender)}>"


def compose(
    *,
    kind: str,
    subject: str,
    text: str,
    html: str,
    date_s: int,
    zone: ZoneInfo,
    message_id: str,
    sender: str,
    to: Sequence[str],
    number: int = 0,
    thread: str | None = None,
    chart_png: bytes | None = None,
    chart_cid: str | None = None,
    language: str = "en",
) -> bytes:
    """The letter: plain text first, the same as HTML beside it, the chart inside the HTML.

    `date_s` is Unix seconds, shown in `zone`; `number` stands in a header unless it is 0; `thread` is the
    Message-ID of the letter this one follows; `chart_cid` is the name by which the HTML shows `chart_png`.
    Without a sender or anyone to send it to, both are `naupliad@localhost`. `language` is a code of
    BCP 47. Raises ValueError when only one of chart and its name is given.
    """
    if (chart_png is None) != (chart_cid is None):
        raise ValueError("compose: a chart and its content id belong together, found only one of them")
    letter = EmailMessage(policy=_POLICY)
    letter["From"] = sender or NOBODY
    letter["To"] = ", ".join(to) or NOBODY
    letter["Subject"] = " ".join(subject.split())
    letter["Date"] = datetime.fromtimestamp(date_s, zone)
    letter["Message-ID"] = message_id
    if thread is not None:
        letter["In-Reply-To"] = thread
        letter["References"] = thread
    letter["Auto-Submitted"] = "auto-generated"  # RFC 3834: no holiday answers, please
    letter["X-Naupliad-Kind"] = kind
    if number:
        letter[_NUMBER] = str(number)
    # Seven bits only: no server needs an extension to pass the letter on.
    letter.set_content(text, cte="quoted-printable")
    letter.add_alternative(html, subtype="html", cte="quoted-printable")
    if chart_png is not None:
        _show(letter, chart_png, f"<{chart_cid}>")
    letter["Content-Language"] = language  # RFC 3282; set earlier it would move into the plain part
    _settle_boundaries(letter, message_id)
    return letter.as_bytes()


@dataclass(frozen=True, slots=True)
class Words:
    """What a letter says, read back from its bytes; lines end in a newline."""

    message_id: str
    subject: str
    text: str
    html: str


def words_of(message: bytes) -> Words:
    """The words in a letter that `compose` made."""
    letter = _parsed(message)
    text, html = (_said(letter, kind) for kind in ("plain", "html"))
    return Words(str(letter["Message-ID"]), str(letter["Subject"]), text, html)


def picture_of(message: bytes) -> bytes | None:
    """The chart (PNG) in a letter that `compose` made; None where it has none."""
    pictures = (part for part in _parsed(message).walk() if part.get_content_type() == "image/png")
    found = next(pictures, None)
    return None if found is None else bytes(found.get_content())


def number_of(message: bytes) -> int | None:
    """The number that a letter bears; None where it bears none, or its bytes are no letter."""
    said = str(message_from_bytes(message)[_NUMBER])  # by the plainest policy: no header can break it
    return int(said) if re.fullmatch("[0-9]{1,9}", said) else None


def marked(message: bytes, subject: str, note: str) -> bytes:
    """The same letter under another subject, with a note above all it says; also the same for every try.

    Number, Message-ID and Date stay: it is the letter that was written then.
    """
    letter = _parsed(message)
    del letter["Subject"]
    letter["Subject"] = " ".join(subject.split())
    for part in letter.walk():
        if isinstance(part, EmailMessage) and part.get_content_maintype() == "text":
            kind, words = part.get_content_subtype(), _content(part)
            words = _under_note(words, note) if kind == "html" else f"{fill(note, _COLUMNS)}\n\n{words}"
            part.set_content(words, subtype=kind, cte="quoted-printable")
            del part["MIME-Version"]
    return letter.as_bytes()


def _under_note(html: str, note: str) -> str:
    from html import escape  # half a MB of names, for a letter that waited

    body = _BODY_BEGINS.search(html)
    begins = body.end() if body else 0
    return f"{html[:begins]}<p><strong>{escape(note)}</strong></p>\n{html[begins:]}"


def _parsed(message: bytes) -> EmailMessage:
    letter = message_from_bytes(message, _class=EmailMessage, policy=_POLICY)
    re.purge()  # an expression for its boundaries, of which `re` would keep those of 500 letters: 1 MiB
    return letter


def _said(letter: EmailMessage, kind: str) -> str:
    part = letter.get_body((kind,))
    return "" if part is None else _content(part)


def _content(part: MIMEPart) -> str:
    return str(part.get_content()).replace("\r\n", "\n")


def _show(letter: EmailMessage, chart_png: bytes, content_id: str) -> None:
    page = letter.get_body(("html",))
    if page is not None:
        page.add_related(
            chart_png, "image", "png", cid=content_id, disposition="inline", filename="chart.png"
        )


def _settle_boundaries(letter: EmailMessage, message_id: str) -> None:
    """Boundaries from the Message-ID: the library's own would be drawn by chance."""
    for place, part in enumerate(letter.walk()):
        if place > 0:
            del part["MIME-Version"]  # says something at the top only (RFC 2045, 4)
        if part.is_multipart():
            part.set_boundary(f"=_{_digest(f'{message_id} {place}')}")  # =_ never stands in quoted-printable


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:20]


def _domain(sender: str) -> str:
    domain = parseaddr(sender)[1].rpartition("@")[2]
    try:
        return domain.encode("idna").decode() or "localhost"
    except UnicodeError:
        return "localhost"
