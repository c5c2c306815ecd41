"""How many animals there are, from some spoonfuls."""

from typing import Protocol

from reports.amounts import in_decimals
from reports.language import say


class IntervalSeen(Protocol):
    """A number with its 95 % interval."""

    @property
    def middle(self) -> float: ...
    @property
    def low(self) -> float: ...
    @property
    def high(self) -> float: ...


def aliquot_words(per_ml: IntervalSeen, in_all: IntervalSeen | None) -> list[str]:
    """Animals in a mL, and in the whole vessel where its volume is known; a line each."""
    lines = [
        say(
            "{middle} animals in a mL ({low} to {high}, 95 %).",
            middle=_three(per_ml.middle),
            low=_three(per_ml.low),
            high=_three(per_ml.high),
        )
    ]
    if in_all is not None:
        lines.append(
            say(
                "About {middle} animals in all ({low} to {high}). Stir before each spoonful, or it does not"
                " hold.",
                middle=_three(in_all.middle),
                low=_three(in_all.low),
                high=_three(in_all.high),
            )
        )
    return lines


def _three(value: float) -> str:
    """A number to three figures, written out."""
    if value >= 100.0:
        return f"{float(f'{value:.3g}'):.0f}"
    return in_decimals(f"{value:.3g}")
