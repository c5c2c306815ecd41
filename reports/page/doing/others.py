"""Other vessels that the same may be noted of."""

from dataclasses import dataclass

from reports.amounts import in_decimals
from reports.language import in_its_language
from reports.records import Setting
from reports.words import vessel_name


@dataclass(frozen=True, slots=True)
class OtherVessel:
    """A vessel by its id and its name; `ticked`: the same is noted of it.

    `amount` is its own one, None where none is asked; `fault` what is wrong with that.
    """

    id: str
    name: str
    ticked: bool
    amount: str | None = None
    fault: str = ""


@in_its_language
def other(
    _setting: Setting, vessel: str, count: int, *, ticked: bool, amount: str | None, guessed: bool, fault: str
) -> OtherVessel:
    """A vessel as people read it; an amount that nobody wrote (`guessed`) in the language's own digits."""
    shown = in_decimals(amount) if amount and guessed else amount
    return OtherVessel(vessel, vessel_name(vessel, count), ticked, shown, fault)
