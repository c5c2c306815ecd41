"""A hydrometer by what is printed on it: `25/20` °C, `60/60` °F, or what it shows and for how warm water.

Numbers above every temperature in °C at which one is used are °F.
"""

import re

from daemon.science.hydrometer import COLDEST_C, HOTTEST_C, Scale, ScaleKind
from daemon.science.valid_range import within

ALLOWED = "25/20 as printed in °C, 60/60 °F, g/mL 20, or ppt 25"
_NUMBER = r"([0-9]{1,2}(?:[.,][0-9])?)"
_TWO = re.compile(rf"{_NUMBER}\s*/\s*{_NUMBER}(?:\s*°?\s*([CF]))?", re.IGNORECASE)
_ONE = re.compile(rf"(g/ml|g/kg|ppt|‰)\s*@?\s*{_NUMBER}(?:\s*°?\s*([CF]))?", re.IGNORECASE)
_SALT: ScaleKind = "salinity-g-per-kg"
_KINDS: dict[str, ScaleKind] = {"g/ml": "density-g-per-ml", "g/kg": _SALT, "ppt": _SALT, "‰": _SALT}


def printed_scale(text: str) -> Scale:
    """The scale. Raises ValueError for what is none, with what is allowed."""
    if found := _TWO.fullmatch(text.strip()):
        made, against = _temperatures(found[3], found[1], found[2])
        return Scale("specific-gravity", calibrated_c=made, reference_c=against)
    if found := _ONE.fullmatch(text.strip()):
        (made,) = _temperatures(found[3], found[2])
        return Scale(_KINDS[found[1].casefold()], calibrated_c=made, reference_c=made)
    raise ValueError(ALLOWED)


def _temperatures(unit: str | None, *texts: str) -> list[float]:
    """In °C. Raises OutOfRange."""
    numbers = [float(text.replace(",", ".")) for text in texts]
    in_f = min(numbers) > HOTTEST_C if unit is None else unit.casefold() == "f"
    in_c = [(number - 32.0) / 1.8 if in_f else number for number in numbers]
    return [within("hydrometer temperature", one_c, COLDEST_C, HOTTEST_C, "°C") for one_c in in_c]
