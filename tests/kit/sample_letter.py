"""One letter, as carriers take it and as a mail program reads it."""

from datetime import UTC, datetime
from email import message_from_bytes
from email.message import EmailMessage
from email.policy import SMTP
from typing import Any
from zoneinfo import ZoneInfo

from daemon.post.carrier import Outgoing
from daemon.post.message import compose, message_id_for

LISBON = ZoneInfo("Europe/Lisbon")
AT_S = int(datetime(2027, 2, 19, 17, tzinfo=UTC).timestamp())
ID = message_id_for("Room 12", 7, AT_S, "cups@school.example")


def letter(**changes: Any) -> bytes:
    facts: dict[str, Any] = {
        "kind": "cold",
        "subject": "Tray A is cold: 18.2 °C",
        "text": "The water is at 18.2 °C.\n.\nSwitch the lamp on at its switch or timer.\n",
        "html": "<p>The water is at 18.2 °C.</p>",
        "date_s": AT_S,
        "zone": LISBON,
        "message_id": ID,
        "sender": "cups@school.example",
        "to": ["teacher@school.example"],
    }
    return compose(**{**facts, **changes})


def out(number: int, kind: str, message: bytes) -> Outgoing:
    return Outgoing(number, kind, AT_S, ("tray-a",), message)


def read(message: bytes) -> EmailMessage:
    parsed = message_from_bytes(message, policy=SMTP)
    assert isinstance(parsed, EmailMessage)
    assert not parsed.defects
    return parsed
