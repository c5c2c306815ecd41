"""The unit of each measure and of each quantity, as tables write it."""

from collections.abc import Mapping

from sensors.reading import Measure

# Of what has none, as shares: 1.
MEASURES: Mapping[str, str] = {
    Measure.WATER_C: "°C",
    Measure.LIGHT_LUX: "lux",
    Measure.LIGHT_FRACTION: "1",
    Measure.ROOM_C: "°C",
    Measure.ROOM_RH_PCT: "%",
    Measure.FLOAT_LOW: "1",
}
# Unix seconds: what is estimated is a moment.
MOMENT = "s"
QUANTITIES: Mapping[str, str] = {
    "hatched_fraction": "1",
    "hatch_t10": MOMENT,
    "hatch_t50": MOMENT,
    "hatch_t90": MOMENT,
    "instar_ii_at": MOMENT,
    "hatchable_share": "1",
    "loss_ml": "mL",
    "loss_ml_per_day": "mL/d",
    "salinity_g_per_kg": "g/kg",
    "low_mark_at": MOMENT,
    "water_c_min_next_16h": "°C",
    "water_c_max_next_16h": "°C",
    "has_heater": "1",
    "fill_ml": "mL",
    "water_c_min_away": "°C",
    "water_c_max_away": "°C",
    "harvest_opens_at": MOMENT,
    "harvest_closes_at": MOMENT,
}
