"""Fewer readings where a span is long: no chart shows two weeks by the minute, and the Pi has 512 MB."""

from collections.abc import Sequence

from daemon.seconds import HOUR_S

# A night, and the hour or two by which its letter may be late, is kept whole.
_WHOLE_S = 30 * HOUR_S
# A chart's plot is some 600 px wide.
_MOST = 720

Reading = tuple[int, float]


def fewer(readings: Sequence[Reading], span: tuple[int, int]) -> list[Reading]:
    """Of a span of more than 30 hours a reading every 720th part of it, and the coldest, warmest and last.

    Readings are (Unix s, value) in time order. Two that follow each other are never further apart than two
    such parts unless there was a gap, so that gaps can still be told.
    """
    began, ended = span
    if ended - began <= _WHOLE_S or not readings:
        return list(readings)
    part_s = (ended - began) / _MOST
    first_of: dict[int, Reading] = {}
    for reading in readings:
        first_of.setdefault(int((reading[0] - began) / part_s), reading)
    ends = (min(readings, key=_value), max(readings, key=_value), readings[-1])
    return sorted({*first_of.values(), *ends})


def _value(reading: Reading) -> float:
    return reading[1]
