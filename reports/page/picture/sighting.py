"""What is known of a vessel, as a picture shows it: the same as its line and its letters say."""

import math
from collections.abc import Sequence
from datetime import datetime

from reports import night, times
from reports.page.picture.vessel_picture import (
    FeltWarmth,
    LampLight,
    ProbePlace,
    VesselPicture,
    VesselShape,
)
from reports.records import Range, RangePoint, VesselNight
from reports.vessel_line import FRESH, lamp_seen_now

# Nearer to a limit than this share of what lies between them, water is cool or warm: our own choice, no
# source.
_NEAR_LIMIT = 0.2
# Stages at which the water is drawn where it is believed to be: after a harvest nobody says where it is.
_FILLED = frozenset({"set", "hatching", "hatched", "growing", "being harvested"})
_DAY_S = 24.0 * 3600.0


def picture_of(
    vessel: VesselNight, shape: VesselShape, now: datetime, unit: str, *, covered: bool = False
) -> VesselPicture:
    """The picture of a vessel at a moment, from what is known of its night; `unit` is "C" or "F".

    Whether it is `covered` is the care log's to say: its night holds only the deeds of one day.
    """
    filled = vessel.stage in _FILLED and vessel.batch_set_at is not None
    lamp = lamp_seen_now(vessel, now)
    water_c = _water_now(vessel, now)
    return VesselPicture(
        vessel=vessel.vessel,
        count=vessel.count,
        shape=shape,
        low_ml=vessel.low_ml,
        brim_ml=vessel.brim_ml,
        stage=vessel.stage,
        loss_ml=_last(vessel.loss_ml) if filled else None,
        hatched=_last(vessel.hatched_fraction) if filled else None,
        age_days=_age_days(vessel, now),
        warmth=_warmth(vessel, water_c) if vessel.watched else None,
        water_c=water_c if vessel.watched else None,
        unit=unit,
        lamp=None if lamp is None else LampLight(lamp),
        probe=_probe(vessel),
        alarms=len(vessel.open_alarms),
        covered=covered,
    )


def _last(points: Sequence[RangePoint]) -> Range | None:
    """What is believed last, where it is a number."""
    if not points:
        return None
    believed = points[-1].range
    known = all(math.isfinite(value) for value in (believed.p10, believed.p50, believed.p90))
    return believed if known else None


def _age_days(vessel: VesselNight, now: datetime) -> float | None:
    """How long ago its batch was set."""
    if vessel.batch_set_at is None:
        return None
    return max(times.elapsed(vessel.batch_set_at, now).total_seconds() / _DAY_S, 0.0)


def _water_now(vessel: VesselNight, now: datetime) -> float | None:
    """What its probe read, where that is of now."""
    seen = night.extremes(vessel.water_c)
    if seen is None or times.elapsed(seen.latest.at, now) > FRESH:
        return None
    return seen.latest.value


def _warmth(vessel: VesselNight, water_c: float | None) -> FeltWarmth:
    if water_c is None:
        return FeltWarmth.NOT_KNOWN
    if water_c < vessel.cold_c:
        return FeltWarmth.TOO_COLD
    if water_c > vessel.hot_c:
        return FeltWarmth.TOO_HOT
    near_k = _NEAR_LIMIT * (vessel.hot_c - vessel.cold_c)
    if water_c < vessel.cold_c + near_k:
        return FeltWarmth.COOL
    return FeltWarmth.WARM if water_c > vessel.hot_c - near_k else FeltWarmth.RIGHT


def _probe(vessel: VesselNight) -> ProbePlace | None:
    if vessel.dry:
        return ProbePlace.AIR
    return ProbePlace.WATER if vessel.water_c else None
