"""What state is made of: every class of these modules, and no other."""

from collections.abc import Mapping, Sequence
from types import ModuleType

from daemon import vessel_state
from daemon.care import deed
from daemon.estimates import grounds, quantile, vessel
from daemon.estimates.hatch import belief as hatch_belief
from daemon.estimates.hatch import grid as hatch_grid
from daemon.estimates.hatch import light, lots, observations
from daemon.estimates.timeline import stretch, timeline
from daemon.estimates.vessel import VesselBelief
from daemon.estimates.warmth import belief as warmth_belief
from daemon.estimates.warmth import (
    cup_heat,
    half_hours,
    heater,
    level_run,
    movement,
    room_pattern,
    sunny_days,
    thermostat,
)
from daemon.estimates.warmth.belief import WarmthBelief
from daemon.estimates.water import belief as water_belief
from daemon.estimates.water import bubbling, float_level, hourly_loss, level, pace, rim_shelter, salt
from daemon.estimates.water import grid as water_grid
from sensors import reading
from sensors.trust import (
    air_course,
    judge,
    revision,
    room_lag,
    slow_evidence,
    standstill,
    sudden_change,
    under_lamp,
    water_course,
    water_limits,
    water_probe,
    way_back,
)
from sensors.trust import half_hours as probe_half_hours

_BELIEVED: tuple[ModuleType, ...] = (
    vessel, vessel_state, deed, grounds, quantile,
    stretch, timeline,
    water_belief, water_grid, bubbling, float_level, hourly_loss, level, pace, rim_shelter, salt,
    hatch_belief, hatch_grid, light, lots, observations,
    warmth_belief, cup_heat, half_hours, heater, level_run, movement, room_pattern, sunny_days, thermostat,
)  # fmt: skip
_TRUSTED: tuple[ModuleType, ...] = (
    reading, judge, probe_half_hours, air_course, revision, room_lag, slow_evidence, standstill,
    sudden_change, under_lamp, water_course, water_limits, water_probe, way_back,
)  # fmt: skip


def _classes_of(modules: tuple[ModuleType, ...]) -> tuple[type, ...]:
    return tuple(
        thing
        for module in modules
        for thing in vars(module).values()
        if isinstance(thing, type) and thing.__module__ == module.__name__
    )


STATE_CLASSES = _classes_of(_BELIEVED + _TRUSTED)
# A forecast is made of the rest whenever somebody asks.
MADE_ANEW: Mapping[type, Sequence[str]] = {WarmthBelief: ("_forecast",), VesselBelief: ("_seen_at",)}
