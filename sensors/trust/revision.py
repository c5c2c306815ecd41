"""What is put right about readings that were judged before."""

from dataclasses import dataclass

from sensors.reading import Quality


@dataclass(frozen=True, slots=True)
class Revision:
    """Readings of a probe from `since` to `until` (Unix s, both included) have another quality than they had.

    It concerns only those that were good, or not trusted: what a device itself got wrong stays so.
    """

    probe: str
    since: int
    until: int
    quality: Quality
