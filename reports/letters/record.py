"""The lines that write in the care log what was done, to copy."""

from collections.abc import Sequence

from reports import amounts, words
from reports.language import say

# More would be a page of commands: the first shows how, and the vessels stand in the table.
_MOST = 3
_AT_MARK_ML = 0.5


def line(vessel: str, deed: str, *rest: str) -> str:
    """ "naupliad care add tray-a stir", with amount and detail where given."""
    return " ".join(["naupliad care add", words.clean(vessel), deed, *rest])


def top_up(vessel: str, fill_ml: float, above_mark_ml: float = 0.0) -> str:
    """The line after a top-up, mL a cup, that ends at the mark or so far above it."""
    amount = amounts.plain_number(fill_ml, 1).removesuffix(".0")
    ends = "to=mark" if above_mark_ml < _AT_MARK_ML else f"above_ml={amounts.plain_number(above_mark_ml)}"
    return line(vessel, "top-up", amount, "--detail", ends)


def brine(vessel: str, poured_ml: float, salt_g_per_l: float) -> str:
    """The line after brine was poured, mL a cup, of so many g of salt in a litre of water."""
    amount = amounts.plain_number(poured_ml, 0 if poured_ml >= 10.0 else 1).removesuffix(".0")
    return line(vessel, "brine", amount, "--detail", f"salt_g_per_l={amounts.plain_number(salt_g_per_l)}")


def of_each(vessels: Sequence[Sequence[str]]) -> tuple[str, ...]:
    """The lines of each vessel; where these are many those of one, and that the others go like it."""
    lines = [line for of_one in vessels for line in of_one]
    if len(lines) <= _MOST or len(vessels) == 1:
        return tuple(lines)
    return *max(vessels, key=len), say("and so for each of the others")


def salinity(vessel: str) -> str:
    """The line after a measurement of the salt, with an amount as an example, g in a kilogram of brine."""
    return say("measured, here 28: {command}", command=line(vessel, "salinity", "28"))


def few(lines: Sequence[str]) -> tuple[str, ...]:
    """Up to three lines; of more the first alone, and that the others go like it."""
    if len(lines) <= _MOST:
        return tuple(lines)
    return lines[0], say("and so for each of the others")


def with_its_time(vessels: Sequence[str], *, set_anew: bool = False) -> tuple[str, ...]:
    """How a deed is written that was done before, by the example of the first vessel; `set_anew`: a batch."""
    if not vessels:
        return ()
    deed = ("set", "0.05", "--detail", "salt_g_per_l=25") if set_anew else ("top-up", "18")
    command = line(vessels[0], *deed, "--at", "08:30")
    return (say("With your figures and time: {command}", command=command),)
