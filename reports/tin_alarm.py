"""What speaks against a tin of cysts, in words: the same in its list, its tests and whatever is planned."""

from reports import amounts
from reports.language import say


def alarm(kind: str, begins: float, ends: float, counts: int) -> str:
    """One line, in the language spoken now."""
    begun, ended = amounts.percent(begins), amounts.percent(ends)
    if kind == "disagree":
        return say(
            "The counts of this tin disagree: from {low} to {high}. Chance and the usual spread between "
            "batches do not explain it, so the range is wide. Test it again, with cysts from several places "
            "in the tin, before you set the next class.",
            low=begun,
            high=ended,
        )
    if kind == "falls":
        return say(
            "This tin falls off: over {count} counts from about {first} to about {last}. Chance and the "
            "spread between batches do not explain it. Test it before you set the next class.",
            count=counts,
            first=begun,
            last=ended,
        )
    return say("Too few of this tin hatched in its newest count: {share}. Get another tin.", share=ended)
