"""What is wrong with a number that somebody typed into a form of a plan, in one line."""

from reports import amounts
from reports.language import say, spoken


def no_number(language: str) -> str:
    """For what is none."""
    with spoken(language):
        return say("Write a number, such as 200 or 0.5.")


def out_of_range(language: str, low: float, high: float) -> str:
    """For a number beyond what is known, or sensible."""
    with spoken(language):
        return say("From {low} to {high}, please.", low=_plain(low), high=_plain(high))


def _plain(value: float) -> str:
    """A limit as somebody would type it."""
    return amounts.in_decimals(f"{value:.6f}".rstrip("0").rstrip("."))
