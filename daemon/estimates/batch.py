"""One hatch in one vessel, and the one way in which feeding a belief can go wrong."""

from dataclasses import dataclass


class OutOfOrder(Exception):
    """Something earlier than what was already fed: compute the vessel anew from the store.

    Carries the time that came (`at`) and the time already reached (`reached`), Unix s.
    """

    def __init__(self, vessel: str, at: int, reached: int) -> None:
        super().__init__(f"vessel {vessel}: {at} comes after {reached} was fed; feed in time order")
        self.at = at
        self.reached = reached


@dataclass(frozen=True, slots=True)
class Batch:
    """One hatch, from setting the cysts: when (Unix s), of which lot, how many grams."""

    set_at: int
    lot: str | None
    grams: float | None
