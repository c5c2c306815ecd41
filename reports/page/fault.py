"""The words of what went wrong with an address."""

from collections.abc import Iterable

from reports.language import ENGLISH, languages, say, spoken, to_say

_LINES = {
    400: to_say("The page was asked in a way it does not take. Nothing was done."),
    404: to_say("There is nothing at this address. The shelf shows all there is."),
    405: to_say("This address is not asked in that way. Nothing was done."),
    413: to_say("That was too much at once: at most 64 kB are taken. Nothing was done."),
}
_OTHER = to_say("The page has failed. What was noted before is kept; look again in a moment.")


def line(status: int, language: str) -> str:
    """What is said of an HTTP status."""
    with spoken(language):
        return say(_LINES.get(status, _OTHER))


def heading(status: int, language: str) -> str:
    """Above it."""
    with spoken(language):
        if status == 503:
            return say("Nothing can be shown now")
        return say("Nothing here") if status == 404 else say("This was not done")


def no_station(language: str) -> str:
    """Above what is said where there is no station yet."""
    with spoken(language):
        return say("Nothing is watched here yet")


def records_gone(language: str, *, watching: bool) -> str:
    """What is said where records stood and do not any more; `watching`: a daemon still holds them open."""
    with spoken(language):
        if watching:
            return say("The records are not in their place. The watch puts them back at its next reading.")
        return say("The records are not in their place. When the watch starts, it takes its newest copy.")


def spoken_by(wanted: Iterable[str]) -> str:
    """The first language a browser wants (BCP 47, the best first) that can be spoken, else English."""
    known = languages()
    return next((code for one in wanted if (code := one.split("-")[0].lower()) in known), ENGLISH)
