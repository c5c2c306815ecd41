"""What is said at the page's door: to whoever signs in, and to whoever is not let in."""

from collections.abc import Callable, Sequence
from datetime import timedelta
from functools import wraps
from math import ceil
from typing import Concatenate, ParamSpec

from reports.language import say, say_many, spoken
from reports.times import duration
from reports.words import clean, joined, shortened

_Rest = ParamSpec("_Rest")


def _spoken(words: Callable[_Rest, str]) -> Callable[Concatenate[str, _Rest], str]:
    """Have a function's words in the language that is then its first argument."""

    @wraps(words)
    def in_a_language(language: str, /, *rest: _Rest.args, **named: _Rest.kwargs) -> str:
        with spoken(language):
            return words(*rest, **named)

    return in_a_language


@_spoken
def title(state: str) -> str:
    """Above the form: `state` is "out", "in", or "none" where nobody can sign in."""
    if state == "in":
        return say("You are signed in")
    return say("No PIN is set") if state == "none" else say("The PIN, please")


@_spoken
def not_noted() -> str:
    """Above what became of a form that was not taken."""
    return say("Nothing was noted")


@_spoken
def no_pin() -> str:
    """Nobody set a PIN yet."""
    return say("Nobody can note anything before a PIN is set.")


@_spoken
def wrong_pin(wait_s: float) -> str:
    """The try was wrong."""
    return say("That is not the PIN. You can try again in {wait}.", wait=_wait(wait_s))


@_spoken
def too_early(wait_s: float) -> str:
    """Not looked at: there were tries before."""
    return say(
        "There were wrong tries, so this one was not looked at. You can try again in {wait}.",
        wait=_wait(wait_s),
    )


@_spoken
def busy() -> str:
    """Another try is being looked at."""
    return say("Another try is just being looked at. Try again in a moment.")


@_spoken
def no_digits() -> str:
    """What was typed cannot be a PIN."""
    return say("A PIN has 6 to 12 digits. Nothing was tried.")


@_spoken
def sign_in_first() -> str:
    """Something was sent without a session, or after it had ended."""
    return say("Nothing was noted: give the PIN first, then do it once more.")


@_spoken
def sign_in_and_go_on() -> str:
    """The same, where what was filled in is kept at hand."""
    return say("Nothing was noted yet: give the PIN, and what you filled in stands here again.")


@_spoken
def foreign_form() -> str:
    """A form that does not come from this page."""
    return say("The form came from another page. Open the vessel here and do it once more.")


@_spoken
def old_form() -> str:
    """A form of an earlier session."""
    return say("The form is from before you signed in. Open it anew and do it once more.")


@_spoken
def old_feed() -> str:
    """Somebody asked for the calendar by a secret address that is none, or none any more."""
    return say("This address of the calendar holds no more: the page shows the new one, on “To take away”.")


@_spoken
def no_new_feed() -> str:
    """The folder takes no new secret address."""
    return say("No new address could be kept, so the old one holds on: is the disk full?")


@_spoken
def unknown_name(host: str, names: Sequence[str]) -> str:
    """The page was called by a name that is not its own."""
    return say(
        "Address: found {host}; allowed: {names}, or this machine's IP address."
        " Another name goes into [page] address of the station file.",
        host=shortened(clean(host), 60) or say("no name"),
        names=joined(names),
    )


@_spoken
def not_from_there() -> str:
    """A visitor from where the page does not answer."""
    return say("Found a visitor from elsewhere; allowed: whom [page] listen of the station file lets in.")


def _wait(seconds: float) -> str:
    whole = ceil(seconds)
    if whole < 100:
        return say_many("{count} second", "{count} seconds", whole)
    return duration(timedelta(minutes=-(-whole // 60)))
