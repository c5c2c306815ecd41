"""What every answer must be, whatever was asked."""

import re
from dataclasses import dataclass
from html.parser import HTMLParser
from http import HTTPStatus
from http.client import HTTPResponse, IncompleteRead
from io import BytesIO
from typing import Any

from tests.kit.hostile.words import ATTRIBUTE, TAG

_LONGEST_LINE = 400
# A transfer coding that a server does not know (RFC 9112, 6.1): waitress says so before the page sees it.
_NO_SUCH_CODING = 501


@dataclass(frozen=True)
class Answer:
    """A status, the headers and the body of an answer."""

    status: int
    headers: dict[str, str]
    body: bytes

    @property
    def text(self) -> str:
        return self.body.decode("utf-8", "replace")


class _Bytes:
    def __init__(self, raw: bytes) -> None:
        self._raw = raw

    def makefile(self, _mode: str) -> BytesIO:
        return BytesIO(self._raw)


def read(raw: bytes, method: str) -> Answer:
    """The bytes of an answer."""
    told: Any = _Bytes(raw)
    answer = HTTPResponse(told, method=method)
    answer.begin()
    try:
        body = answer.read()
    except IncompleteRead as error:
        body = error.partial
    headers: dict[str, str] = {}
    for name, value in answer.getheaders():
        headers[name.lower()] = "; ".join(filter(None, (headers.get(name.lower()), value)))
    return Answer(answer.status, headers, body)


class _Seen(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.faults: list[str] = []
        self.alerts = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.alerts += ("role", "alert") in attrs
        if tag == TAG or any(name == ATTRIBUTE or name.startswith("on") for name, _ in attrs):
            self.faults.append(f"markup came back as markup: <{tag}>")
        told = dict(attrs)
        if tag == "script" and told.get("type") != "application/json" and not _own(told.get("src")):
            self.faults.append("a script of somebody else's")
        if (told.get("href") or told.get("action") or "").lower().startswith("javascript:"):
            self.faults.append("a link that is code")

    handle_startendtag = handle_starttag


def _own(source: str | None) -> bool:
    return bool(source and source.startswith("/static/"))


def faults_of(answer: Answer, *, away: bool = False) -> list[str]:
    """What is wrong with an answer, in lines; mostly nothing. `away`: who was to answer may be not there."""
    found = []
    allowed = (_NO_SUCH_CODING, HTTPStatus.SERVICE_UNAVAILABLE) if away else (_NO_SUCH_CODING,)
    if answer.status >= 500 and answer.status not in allowed:
        found.append(f"status {answer.status}")
    if "Traceback" in answer.text:
        found.append("a traceback")
    if "x-hostile" in answer.headers:
        found.append("a header that was sent in a field")
    kind = answer.headers.get("content-type", "")
    if kind.startswith("text/html"):
        seen = _Seen()
        seen.feed(answer.text)
        seen.close()
        found += sorted(set(seen.faults))
        if "content-security-policy" not in answer.headers:
            found.append("no policy")
        if answer.status >= 400:
            found += _refused(answer, seen)
    elif answer.status >= 400 and answer.body and not kind.startswith("text/plain"):
        found.append(f"a refusal of the kind {kind!r}")
    return found


def _refused(answer: Answer, seen: _Seen) -> list[str]:
    """A refusal says one line above, and at most one beside each field."""
    asks_for_pin = 'action="/pin"' in answer.text
    if seen.alerts != 1 and not (asks_for_pin and seen.alerts == 0):
        return [f"{answer.status} with {seen.alerts} lines"]
    lines = re.findall(r'role="alert"[^>]*>([^<]*)<', answer.text)
    return [f"a line of {len(one)} characters" for one in lines if len(one) > _LONGEST_LINE]
