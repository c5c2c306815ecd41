"""What a check found: one line, with what to do where something is to be done."""

from dataclasses import dataclass
from enum import StrEnum


class Grade(StrEnum):
    """How it stands: in order, worth a look, or in the way of the watch."""

    OK = "ok"
    LOOK = "look"
    WRONG = "wrong"


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that was looked at; `remedy` says what to do, with the exact line, and is empty where ok."""

    grade: Grade
    subject: str
    account: str
    remedy: str = ""


def ok(subject: str, account: str) -> Finding:
    """In order."""
    return Finding(Grade.OK, subject, account)


def look(subject: str, account: str, remedy: str) -> Finding:
    """The watch works, but this may become a trouble, or could not be found out."""
    return Finding(Grade.LOOK, subject, account, remedy)


def wrong(subject: str, account: str, remedy: str) -> Finding:
    """The watch does not work like this, or not as the station file wants it."""
    return Finding(Grade.WRONG, subject, account, remedy)
