"""Which vessels share a row of a chart: above twelve, those that are alike."""

from collections.abc import Sequence
from math import inf

from reports import night
from reports.chart.finding import to_low_mark_ml, worst_first
from reports.letters.stages import is_emptied
from reports.records import NightRecord, Point, VesselNight

MOST_ROWS = 12
# Two thermometers in the same water may differ so far, K: each is right to within 0.5 K from -10 to 85 °C
# (DS18B20, the data sheet). Where that leaves too many rows, what is twice and four times as far apart is
# drawn together, each with its own line; then all in one state.
_APART_K = (0.5, 1.0, 2.0, inf)

Group = tuple[VesselNight, ...]


def groups_of(record: NightRecord) -> list[Group]:
    """The rows of the chart, the worst first: a vessel each, above twelve those together that are alike.

    Twelve rows at most: where there are more states than rows, the last row holds the rest.
    """
    vessels = worst_first(record)
    if len(vessels) <= MOST_ROWS:
        return [(vessel,) for vessel in vessels]
    courses = {vessel.vessel: _by_hour(vessel.water_c) for vessel in vessels}
    groups: list[Group] = []
    for apart_k in _APART_K:
        groups = _alike(vessels, courses, apart_k)
        if len(groups) <= MOST_ROWS:
            break
    if len(groups) > MOST_ROWS:
        rest = tuple(vessel for group in groups[MOST_ROWS - 1 :] for vessel in group)
        groups = [*groups[: MOST_ROWS - 1], rest]
    return [tuple(sorted(group, key=record.vessels.index)) for group in groups]


_Course = dict[int, float]


def _alike(vessels: Sequence[VesselNight], courses: dict[str, _Course], apart_k: float) -> list[Group]:
    groups: list[list[VesselNight]] = []
    for vessel in vessels:
        for group in groups:
            first = group[0]
            if _state(first) == _state(vessel) and _is_near(
                courses[first.vessel], courses[vessel.vessel], apart_k
            ):
                group.append(vessel)
                break
        else:
            groups.append([vessel])
    return [tuple(group) for group in groups]


def alike_lit(vessels: Sequence[VesselNight]) -> list[Group]:
    """Vessels by lamp hours and light: alike are those whose lamps were lit and dark in the same hours.

    The first of each is the one whose light was read longest.
    """
    groups: list[tuple[dict[int, bool], list[VesselNight]]] = []
    for vessel in vessels:
        if not vessel.lamp_hours and vessel.light_unit is None:
            continue
        lit = {hour: light >= vessel.low_light for hour, light in _by_hour(vessel.light).items()}
        for other, group in groups:
            same = (group[0].lamp_hours, group[0].light_unit) == (vessel.lamp_hours, vessel.light_unit)
            if same and all(other[hour] == lit[hour] for hour in other.keys() & lit.keys()):
                group.append(vessel)
                break
        else:
            groups.append((lit, [vessel]))
    return [tuple(sorted(group, key=lambda one: -len(night.good(one.light)))) for _, group in groups]


def _state(vessel: VesselNight) -> tuple[object, ...]:
    """What must be the same of two vessels, apart from how warm they were, for one row to speak for both."""
    low = to_low_mark_ml(vessel)
    return (
        *(
            vessel.watched,
            vessel.dry,
            vessel.cold_c,
            vessel.hot_c,
            vessel.batch_set_at is None,
            is_emptied(vessel),
        ),
        *(low is None, low is not None and low <= 0.0, bool(vessel.water_c)),
        *(tuple(sorted(alarm.kind for alarm in alarms)) for alarms in (vessel.open_alarms, vessel.silenced)),
    )


def _by_hour(points: Sequence[Point]) -> _Course:
    """The mean of each hour's readings."""
    hours: dict[int, list[float]] = {}
    for at, value in night.good(points):
        hours.setdefault(int(at.timestamp()) // 3600, []).append(value)
    return {hour: sum(read) / len(read) for hour, read in hours.items()}


def _is_near(one: _Course, other: _Course, apart_k: float) -> bool:
    return all(abs(one[hour] - other[hour]) <= apart_k for hour in one.keys() & other.keys())
