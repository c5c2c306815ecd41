"""A letter as bytes for the post (RFC 5322), the same bytes for the same letter."""

import hashlib
from collections.abc import Sequence
from datetime import datetime
from email.headerregistry import HeaderRegistry, MessageIDHeader
from email.message import EmailMessage
from email.policy import SMTP
from email.utils import parseaddr
from zoneinfo import ZoneInfo

NOBODY = "naupliad@localhost"  # stands for both ends where the station has no post

_HEADERS = HeaderRegistry()
# As plain text a long id would be folded into an encoded word, and no reader would find the thread.
for _name in ("in-reply-to", "references", "content-id"):
    _HEADERS.map_to_type(_name, MessageIDHeader)  # type: ignore[arg-type]  # typeshed forgets its base
_POLICY = SMTP.clone(header_factory=_HEADERS)


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
    thread: str | None = None,
    chart_png: bytes | None = None,
    chart_cid: str | None = None,
    language: str = "en",
) -> bytes:
    """The letter: plain text first, the same as HTML beside it, the chart inside the HTML.

    `date_s` is Unix seconds, shown in `zone`; `thread` is the Message-ID of the letter this one follows;
    `chart_cid` is the name by which the HTML shows `chart_png`. Without a sender or anyone to send it to,
    both are `naupliad@localhost`. `language` is a code of BCP 47. Raises ValueError when only one of chart
    and its name is given.
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
    # Seven bits only: no server needs an extension to pass the letter on.
    letter.set_content(text, cte="quoted-printable")
    letter.add_alternative(html, subtype="html", cte="quoted-printable")
    if chart_png is not None:
        _show(letter, chart_png, f"<{chart_cid}>")
    letter["Content-Language"] = language  # RFC 3282; told earlier it would move into the plain part
    _settle_boundaries(letter, message_id)
    return letter.as_bytes()


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
