"""What is said where the watch was asked for something and did not do it."""

from reports import words
from reports.language import say, spoken


def away(language: str) -> str:
    """No daemon runs."""
    with spoken(language):
        return say("The watch is not running, so it cannot be asked.")


def played(language: str) -> str:
    """There never was one: the station's time was played."""
    with spoken(language):
        return say("These records were played, so no watch can be asked.")


def busy(language: str) -> str:
    """It has no place for one more, or is ending."""
    with spoken(language):
        return say("The watch is busy or just ending. Ask again in a moment.")


def silent(language: str, why: str) -> str:
    """It was asked, and the answer did not come."""
    with spoken(language):
        return say("The watch gave no answer. Look first whether it was done. {why}", why=words.clean(why))


def refused(language: str, why: str) -> str:
    """It said no; `why` is its own line."""
    with spoken(language):
        return say("This was not done: {why}", why=words.clean(why))
