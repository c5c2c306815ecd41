"""Letters by webhook: JSON over HTTPS, signed, for schools whose network lets no mail out."""

import json
import ssl
import time
from collections.abc import Callable
from datetime import datetime
from zoneinfo import ZoneInfo

from daemon.post import http_request, http_signature
from daemon.post.carrier import Deferred, LetterRefused, Outgoing, Unreachable
from daemon.post.message import words_of
from daemon.station import WebAddress

# These speak of the whole service (RFC 9110, 15.6; RFC 6585, 4); 500 may speak of this letter alone.
_SERVICE = frozenset({429, 502, 503, 504})
_LATER = frozenset({408})
# Which secret signs, by the name of its credential.
_KEY_ID = "webhook-secret"


class WebhookCarrier:
    """Posts letters to one address."""

    def __init__(
        self,
        address: WebAddress | None,
        secret: str | None,
        station: str,
        zone: ZoneInfo,
        *,
        now_s: Callable[[], float] = time.time,
        timeout_s: float = 30.0,
        context: ssl.SSLContext | None = None,
    ) -> None:
        """`station` and `zone` stand in what is posted; `now_s` is the wall clock that stamps it."""
        self._address = address
        self._secret = secret
        self._station = station
        self._zone = zone
        self._now_s = now_s
        self._timeout_s = timeout_s
        self._context = context

    def carry(self, letter: Outgoing) -> None:
        """Post the letter. 2xx: taken. 429, 502, 503, 504: Unreachable; 408 and other 5xx: Deferred.

        Anything else, redirects too: LetterRefused. Unreachable also where no line comes about, no address
        is known, or no secret is kept to sign with.
        """
        what = f"letter {letter.number} ({letter.kind})"
        address = self._known(what)
        where = f"{what}: {http_request.shown(address)}"
        if self._secret is None:
            raise Unreachable(f"{where}: no secret is kept to sign letters with (webhook-secret)")
        words = words_of(letter.message)
        body = self._body(letter)
        now_s = int(self._now_s())
        headers = {
            "User-Agent": "naupliad",
            **self._signed(address, self._secret, words.message_id, body, now_s),
        }
        answer = http_request.request(
            address,
            "POST",
            body,
            headers,
            where=where,
            now_s=now_s,
            timeout_s=self._timeout_s,
            context=self._context,
        )
        _judge(answer, where)

    def reach(self) -> None:
        """Open a line, encrypted where it must be, and close it. Raises Unreachable."""
        address = self._known("webhook")
        where = http_request.shown(address)
        http_request.reach(address, where=where, timeout_s=self._timeout_s, context=self._context)

    def _known(self, what: str) -> WebAddress:
        if self._address is None:
            raise Unreachable(f"{what}: no address is kept to post letters to (webhook-url)")
        return self._address

    def _signed(
        self, address: WebAddress, secret: str, message_id: str, body: bytes, now_s: int
    ) -> dict[str, str]:
        """The fields that say what is posted, and those that sign them, method, address and moment."""
        fields = {
            "Content-Digest": http_signature.content_digest(body),
            "Content-Type": "application/json",
            "Idempotency-Key": message_id,
        }
        derived = {"@method": "POST", "@target-uri": http_request.target_uri(address)}
        return fields | http_signature.signed(secret.encode(), _KEY_ID, now_s, derived, fields)

    def _body(self, letter: Outgoing) -> bytes:
        words = words_of(letter.message)
        fields = {
            "station": self._station,
            "number": letter.number,
            "kind": letter.kind,
            "subject": words.subject,
            "at": datetime.fromtimestamp(letter.written_at, self._zone).isoformat(),
            "vessels": list(letter.about),
            "message_id": words.message_id,
            "text": words.text,
            "html": words.html,
        }
        return json.dumps(fields, ensure_ascii=False).encode()


def _judge(answer: http_request.Answer, where: str) -> None:
    """Raises where the letter was not taken, without the other side's words: they may repeat secrets."""
    if 200 <= answer.status < 300:
        return
    answered = f"{where}: answered {answer.status}"
    if answer.status in _SERVICE:
        raise Unreachable(answered, answer.wait_s)
    if answer.status in _LATER or answer.status >= 500:
        raise Deferred(answered, answer.wait_s)
    if 300 <= answer.status < 400:
        raise LetterRefused(f"{answered}, a redirect, which is not followed; give the address it leads to")
    raise LetterRefused(answered)
