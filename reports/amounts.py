"""Plain words for amounts: numbers and their ranges, warmth, light, shares, salt, water and where it stands.

Spoons and measuring cups are metric: 5 mL and 250 mL, common practice, no source.
"""

import math
from collections.abc import Sequence

from reports.language import say, say_in, say_many
from reports.records import Range

TEASPOON_ML = 5.0
MEASURING_CUP_ML = 250.0

# Above this many mL nobody counts teaspoons.
_SPOONS_UP_TO_ML = 75.0
_QUARTERS = {0: "", 1: "¼", 2: "½", 3: "¾"}


def not_known() -> str:
    """What stands for a value that is none."""
    return say("not known")


def number(value: float, digits: int = 0) -> str:
    """A number with a true minus sign and no minus before a zero; a value that is none is "not known"."""
    return in_decimals(plain_number(value, digits))


def in_decimals(figure: str) -> str:
    """A number that is written with a decimal point, with the decimal mark of the language."""
    return figure.replace(".", say_in("decimal mark", "."))


def plain_number(value: float, digits: int = 0) -> str:
    """The same with a decimal point in every language, for lines that a program reads."""
    if not math.isfinite(value):
        return not_known()
    if abs(value) >= 1e6:
        return f"{value:.1e}".replace("-", "−")
    return f"{round(value, digits) + 0.0:.{digits}f}".replace("-", "−")


def _with_unit(figure: str, unit: str) -> str:
    """The number with its unit; "not known" has none."""
    return figure if figure == not_known() else f"{figure} {unit}"


def _between(ends: Sequence[str], unit: str) -> str:
    """ "between 17.5 and 19.0 °C, most likely 18.2 °C"; `ends` are low, likely, high."""
    low, likely, high = ends
    if not_known() in ends:
        return not_known()
    if low == high:
        return say("about {value}", value=f"{likely} {unit}")
    return say(
        "between {low} and {high}, most likely {likely}",
        low=low,
        high=f"{high} {unit}",
        likely=f"{likely} {unit}",
    )


def in_unit(water_c: float, unit: str) -> float:
    """A temperature in °C as a number of the set unit, "C" or "F"."""
    return water_c * 1.8 + 32.0 if unit == "F" else water_c


def temperature(water_c: float, unit: str, digits: int = 1) -> str:
    """ "18.2 °C" or "64.8 °F"."""
    return _with_unit(number(in_unit(water_c, unit), digits), f"°{unit}")


def difference(step_k: float, unit: str) -> str:
    """How far two temperatures are apart: "15.5 °C" or "27.9 °F"."""
    return _with_unit(number(step_k * 1.8 if unit == "F" else step_k, 1), f"°{unit}")


def both_units(water_c: float, unit: str) -> str:
    """ "33 °C (91 °F)", the station's `unit` first, where safety asks that everybody can read it."""
    other = "C" if unit == "F" else "F"
    return f"{temperature(water_c, unit, 0)} ({temperature(water_c, other, 0)})"


def temperature_range(believed: Range, unit: str) -> str:
    """ "between 17.5 and 19.0 °C, most likely 18.2 °C"."""
    ends = [number(in_unit(value, unit), 1) for value in (believed.p10, believed.p50, believed.p90)]
    return _between(ends, f"°{unit}")


def bare_span(low: float, high: float) -> str:
    """ "83 to 100", or "100" where both ends are the same."""
    ends = number(low), number(high)
    return ends[0] if ends[0] == ends[1] else say("{low} to {high}", low=ends[0], high=ends[1])


def span_c(low_c: float, high_c: float, unit: str) -> str:
    """ "25 to 28 °C"."""
    return say("{low} to {high}", low=number(in_unit(low_c, unit)), high=temperature(high_c, unit, 0))


def hours_range(length_h: Range) -> str:
    """ "between 1.5 and 4.0 hours, most likely 2.5 hours"; what is shorter than half an hour is said so."""
    if math.isfinite(length_h.p90) and length_h.p90 < 0.5:
        return say("less than half an hour, if at all")
    return _between(
        [number(max(value, 0.0), 1) for value in (length_h.p10, length_h.p50, length_h.p90)], say("hours")
    )


def percent(fraction: float) -> str:
    """ "62 %"; close to an end it is said to be close, not there."""
    if not math.isfinite(fraction):
        return not_known()
    if 0.0 < fraction < 0.01:
        return say("less than 1 %")
    if 0.99 < fraction < 1.0:
        return say("more than 99 %")
    return f"{number(fraction * 100)} %"


def about_percent(fraction: float) -> str:
    """ "about 62 %"; close to an end it is said to be close: "more than 99 %"."""
    said = percent(fraction)
    near_an_end = 0.0 < fraction < 0.01 or 0.99 < fraction < 1.0
    return said if near_an_end or not math.isfinite(fraction) else say("about {value}", value=said)


def percent_range(believed: Range) -> str:
    """ "between 40 and 62 %, most likely 51 %"."""
    shares = (believed.p10, believed.p50, believed.p90)
    if not all(math.isfinite(share) for share in shares):
        return not_known()
    if believed.p90 < 0.01:
        return say("none, or less than 1 %")
    if believed.p10 > 0.99:
        return say("more than 99 %")
    return _between([number(share * 100) for share in shares], "%")


def salinity_range(believed: Range) -> str:
    """ "between 26.1 and 28.0 g/kg, most likely 26.9 g/kg"."""
    return _between([number(value, 1) for value in (believed.p10, believed.p50, believed.p90)], "g/kg")


def light(value: float, light_unit: str) -> str:
    """ "180 lux", or the share of full light where the probe knows no lux."""
    if light_unit == "fraction":
        return say("{share} of full light", share=percent(value))
    return _with_unit(number(value), say("lux"))


def volume(amount_ml: float) -> str:
    """ "32 mL"; under 10 mL with one decimal where it has one."""
    if not math.isfinite(amount_ml):
        return not_known()
    digits = 1 if abs(amount_ml) < 9.95 and round(amount_ml, 1) % 1 else 0
    return f"{number(amount_ml, digits)} mL"


def spoons(amount_ml: float) -> str:
    """ "about 6½ teaspoons"; above 75 mL in measuring cups of 250 mL."""
    if not math.isfinite(amount_ml):
        return not_known()
    if amount_ml > _SPOONS_UP_TO_ML:
        quarters = _quarters(amount_ml / MEASURING_CUP_ML, 1)
        return say_many(
            "about {number} measuring cup",
            "about {number} measuring cups",
            _grammar(quarters),
            number=_amount(quarters),
        )
    if amount_ml < TEASPOON_ML / 4:
        return say("a few drops")
    quarters = _quarters(amount_ml / TEASPOON_ML, 2)
    return say_many(
        "about {number} teaspoon", "about {number} teaspoons", _grammar(quarters), number=_amount(quarters)
    )


def _quarters(amount: float, coarsest: int) -> int:
    return max(round(amount * 4 / coarsest) * coarsest, coarsest)


def _grammar(quarters: int) -> int:
    """One for all up to one: "½ teaspoon", "1 teaspoon", "1½ teaspoons"."""
    return 1 if quarters <= 4 else max(quarters // 4, 2)


def _amount(quarters: int) -> str:
    whole, rest = divmod(quarters, 4)
    return number(whole) if whole > 999 else f"{whole or ''}{_QUARTERS[rest]}"


def volume_with_spoons(amount_ml: float) -> str:
    """ "32 mL (about 6½ teaspoons)"."""
    return f"{volume(amount_ml)} ({spoons(amount_ml)})" if math.isfinite(amount_ml) else not_known()


def level(loss_ml: float) -> str:
    """Where the water stands: "24 mL below the mark", "at the mark", "12 mL above the mark"."""
    if not math.isfinite(loss_ml):
        return not_known()
    if abs(loss_ml) < 0.5:
        return say("at the mark")
    if loss_ml > 0:
        return say("{amount} mL below the mark", amount=number(loss_ml))
    return say("{amount} mL above the mark", amount=number(-loss_ml))


def water_stands(loss_ml: Range, count: int) -> str:
    """ "Water in each cup: between 1 and 14 mL below the mark, most likely 8 mL."."""
    level = level_range(loss_ml)
    if count > 1:
        return say("Water in each cup: {level}.", level=level)
    return say("Water in the vessel: {level}.", level=level)


def level_range(loss_ml: Range) -> str:
    """What is believed of the level; a range that crosses the mark names both sides."""
    low, likely, high = loss_ml.p10, loss_ml.p50, loss_ml.p90
    if not all(math.isfinite(value) for value in (low, likely, high)):
        return not_known()
    if number(low) == number(high):
        return say("about {value}", value=level(likely)) if abs(likely) >= 0.5 else level(likely)
    if abs(low) >= 0.5 and abs(high) >= 0.5 and (low > 0) == (high > 0):
        return _one_side(loss_ml)
    return say(
        "between {low} and {high}, most likely {likely}",
        low=level(low),
        high=level(high),
        likely=level(likely),
    )


def _one_side(loss_ml: Range) -> str:
    near, far = sorted((abs(loss_ml.p10), abs(loss_ml.p90)))
    ends = {"near": number(near), "far": number(far), "likely": number(abs(loss_ml.p50))}
    if loss_ml.p10 > 0:
        return say("between {near} and {far} mL below the mark, most likely {likely} mL", **ends)
    return say("between {near} and {far} mL above the mark, most likely {likely} mL", **ends)


def loss_range(amount_ml: Range) -> str:
    """ "between 7 and 28 mL a day, most likely 16 mL a day"."""
    return _between(
        [number(value) for value in (amount_ml.p10, amount_ml.p50, amount_ml.p90)], say("mL a day")
    )
