"""A hydrometer by what is printed on it: `25/20` °C, or what it shows and the temperature it is made for."""

import re

from daemon.science.hydrometer import COLDEST_C, HOTTEST_C, Scale, ScaleKind
from daemon.science.valid_range import within

ALLOWED = "25/20 as printed in °C, g/mL 20, or ppt 25"
_NUMBER = r"([0-9]{1,2}(?:[.,][0-9])?)"
_TWO = re.compile(rf"{_NUMBER}\s*/\s*{_NUMBER}(?:\s*°?\s*C)?", re.IGNORECASE)
_ONE = re.compile(rf"(g/ml|g/kg|ppt|‰)\s*@?\s*{_NUMBER}(?:\s*°?\s*C)?", re.IGNORECASE)
_SALT: ScaleKind = "salinity-g-per-kg"
_KINDS: dict[str, ScaleKind] = {"g/ml": "density-g-per-ml", "g/kg": _SALT, "ppt": _SALT, "‰": _SALT}


def printed_scale(text: str) -> Scale:
    """The scale. Raises ValueError for what is none, with what is allowed."""
    if found := _TWO.fullmatch(text.strip()):
        made, against = _temperature(found[1]), _temperature(found[2])
        return Scale("specific-gravity", calibrated_c=made, reference_c=against)
    if found := _ONE.fullmatch(text.strip()):
        made = _temperature(found[2])
        return Scale(_KINDS[found[1].casefold()], calibrated_c=made, reference_c=made)
    raise ValueError(ALLOWED)


def _temperature(text: str) -> float:
    return within("hydrometer temperature", float(text.replace(",", ".")), COLDEST_C, HOTTEST_C, "°C")
