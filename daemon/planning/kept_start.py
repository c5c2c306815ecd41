"""A planned start that somebody keeps: when cysts are to be set where, for which lesson."""

from dataclasses import dataclass

from daemon.hours import Span


@dataclass(frozen=True, slots=True)
class KeptStart:
    """Moments are Unix seconds; from `good[0]` to `good[1]` setting was about as good as at `set_at`.

    `swimming`: animals are to swim in the lesson already.
    """

    vessel: str
    lot: str | None
    set_at: int
    good: Span
    lesson: Span
    swimming: bool = False
