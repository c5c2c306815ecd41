"""Fewer readings, each a true one: so many that a class can draw them by hand or in a spreadsheet program."""

from collections.abc import Iterable, Iterator

from daemon.seconds import DAY_S, HOUR_S
from sensors.reading import Reading

# A week in steps of ten minutes is about a thousand rows a probe: what can still be looked through [P].
_STEPS_S = ((7 * DAY_S, 600), (21 * DAY_S, 1800))
_LONGEST_STEP_S = HOUR_S


def step_s_of(length_s: int) -> int:
    """How far apart readings of so long a stretch are kept, seconds."""
    return next((step_s for most_s, step_s in _STEPS_S if length_s <= most_s), _LONGEST_STEP_S)


def thinned(readings: Iterable[Reading], began: int, step_s: int) -> Iterator[Reading]:
    """Of each probe and step, counted from `began` (Unix s), the first good reading; where none was good, the
    first: so a gap or a fault stays to be seen. In time order, as they come.
    """
    step, kept = 0, dict[str, Reading]()
    for reading in readings:
        now = (reading.at - began) // step_s
        if now != step:
            yield from _in_order(kept)
            step, kept = now, {}
        first = kept.get(reading.probe)
        if first is None or (reading.good and not first.good):
            kept[reading.probe] = reading
    yield from _in_order(kept)


def _in_order(kept: dict[str, Reading]) -> list[Reading]:
    return sorted(kept.values(), key=lambda reading: (reading.at, reading.probe))
