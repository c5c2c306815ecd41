"""What a measured salinity says: the figure by whatever instrument, and how sure it is.

A hydrometer floats by density, so its reading is put right for the water's temperature and for table salt.
A refractometer puts itself right for temperature; its specific gravity is that of sea water [P].
"""

from dataclasses import dataclass
from math import hypot
from typing import TYPE_CHECKING

from daemon.care.deed import Deed

if TYPE_CHECKING:
    from daemon.science.hydrometer import Salt, Scale

REFRACTOMETER_SD, HYDROMETER_SD = 1.0, 2.0  # g/kg
# Where a temperature was not given the usual one is taken: 5 K of it change a specific gravity as 1.7 g/kg of
# salt do, and the scales on sale are made for 15 to 25 °C [P].
USUAL_HYDROMETER_C, USUAL_REFRACTOMETER_C = 25.0, 20.0
UNKNOWN_WATER_SD, UNKNOWN_SCALE_SD = 1.5, 1.5  # g/kg [P]
# A reading this far beyond plain water, or beyond the strongest brine, is read one or two divisions wrong.
_MISREAD_SG, _MISREAD_G_PER_KG = 0.002, 2.0


@dataclass(frozen=True, slots=True)
class MeasuredSalinity:
    """A salinity in g/kg with the standard deviation of its error."""

    g_per_kg: float
    sd_g_per_kg: float


def measured_salinity(deed: Deed) -> MeasuredSalinity:
    """What a `salinity` deed says.

    Raises OutOfRange for a reading that no brine of 0–50 g/kg has at that temperature.
    """
    reading = deed.amount or 0.0
    water_c, scale_c = deed.number("water_c"), deed.number("scale_c")
    if deed.detail.get("with") == "refractometer":
        if deed.unit != "sg":
            return MeasuredSalinity(reading, REFRACTOMETER_SD)
        at_c = USUAL_REFRACTOMETER_C if scale_c is None else scale_c
        scale = _scale(at_c, deed)
        return MeasuredSalinity(_by_scale(reading, at_c, scale, "sea"), REFRACTOMETER_SD)
    by_scale = deed.unit == "sg" or water_c is not None or scale_c is not None
    if not by_scale:
        hydrometer = deed.detail.get("with") == "hydrometer"
        return MeasuredSalinity(reading, HYDROMETER_SD if hydrometer else REFRACTOMETER_SD)
    made_for_c = USUAL_HYDROMETER_C if scale_c is None else scale_c
    scale = _scale(made_for_c, deed)
    found = _by_scale(reading, made_for_c if water_c is None else water_c, scale, "table")
    unsure = (
        UNKNOWN_WATER_SD if water_c is None else 0.0,
        UNKNOWN_SCALE_SD if scale_c is None else 0.0,
    )
    return MeasuredSalinity(found, hypot(HYDROMETER_SD, *unsure))


def _scale(made_for_c: float, deed: Deed) -> "Scale":
    """The scale it was read from; it compares with plain water of `made_for_c` where no other is given."""
    # Most measured salinities need no density of brine.
    from daemon.science.hydrometer import Scale

    against_c = deed.number("reference_c")
    return Scale(
        "specific-gravity" if deed.unit == "sg" else "salinity-g-per-kg",
        calibrated_c=made_for_c,
        reference_c=made_for_c if against_c is None else against_c,
    )


def _by_scale(reading: float, water_c: float, scale: "Scale", salt: "Salt") -> float:
    from daemon.science import hydrometer
    from daemon.science.valid_range import OutOfRange

    try:
        return hydrometer.salinity_of_reading(reading, water_c, scale, salt)
    except OutOfRange as error:
        misread = _MISREAD_SG if scale.kind == "specific-gravity" else _MISREAD_G_PER_KG
        if error.what != "reading" or not error.low - misread <= reading <= error.high + misread:
            raise
        nearest = min(max(reading, error.low), error.high)
        return hydrometer.salinity_of_reading(nearest, water_c, scale, salt)
