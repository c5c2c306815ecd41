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
# What spoons and cups may be off by: our own choice, no source.
_SPOONS_OFF_BY = 0.1
_MB_IN_A_GB = 1000.0
_LEAST_IN_G = 0.01
_GROUPED_FROM = 9_950.0  # what two figures make 10 000 of
_NARROW_SPACE = "\N{NARROW NO-BREAK SPACE}"
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
    """ "most likely 18.2 °C (17.5 to 19.0)"; `ends` are low, likely, high."""
    low, likely, high = ends
    if not_known() in ends:
        return not_known()
    if low == high:
        return say("about {value}", value=f"{likely} {unit}")
    return say("most likely {likely} ({low} to {high})", low=low, high=high, likely=f"{likely} {unit}")


def in_unit(water_c: float, unit: str) -> float:
    """A temperature in °C as a number of the set unit, "C" or "F"."""
    return water_c * 1.8 + 32.0 if unit == "F" else water_c


def temperature(water_c: float, unit: str, digits: int = 1) -> str:
    """ "18.2 °C" or "64.8 °F"."""
    return _with_unit(number(in_unit(water_c, unit), digits), f"°{unit}")


def difference(step_k: float, unit: str, digits: int = 1) -> str:
    """How far two temperatures are apart: "15.5 °C" or "27.9 °F"."""
    return _with_unit(number(step_k * 1.8 if unit == "F" else step_k, digits), f"°{unit}")


def both_units(water_c: float, unit: str) -> str:
    """ "33 °C (91 °F)", the station's `unit` first, where safety asks that everybody can read it."""
    other = "C" if unit == "F" else "F"
    return f"{temperature(water_c, unit, 0)} ({temperature(water_c, other, 0)})"


def temperature_range(believed: Range, unit: str) -> str:
    """ "most likely 18.2 °C (17.5 to 19.0)"."""
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
    """ "most likely 2.5 hours (1.5 to 4.0)"; what is shorter than half an hour is said so."""
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
    """ "most likely 51 % (40 to 62)"."""
    shares = (believed.p10, believed.p50, believed.p90)
    if not all(math.isfinite(share) for share in shares):
        return not_known()
    if believed.p90 < 0.01:
        return say("none, or less than 1 %")
    if believed.p10 > 0.99:
        return say("more than 99 %")
    return _between([number(share * 100) for share in shares], "%")


def salinity_range(believed: Range) -> str:
    """ "most likely 26.9 g (26.1 to 28.0)", of salt in a kilogram of brine, as words beside it say."""
    return _between([number(value, 1) for value in (believed.p10, believed.p50, believed.p90)], "g")


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


def litres(amount_ml: float) -> str:
    """ "750 mL", and "5.6 L" from a litre on: three figures at most."""
    if amount_ml < 1000.0:
        return volume(amount_ml)
    return f"{three_figures(amount_ml / 1000.0)} L"


def grams(amount_g: float) -> str:
    """ "6.25 g", "0.05 g", "150 g", "1.1 mg": no more figures than scales for grams show."""
    if 0.0 < amount_g < _LEAST_IN_G:
        return f"{in_decimals(_two_figures(amount_g * 1000.0))} mg"
    return f"{three_figures(amount_g)} g"


def three_figures(value: float) -> str:
    """A number above 0 with three figures at most, three of them behind the decimal mark; "0" up to 0."""
    if value <= 0:
        return number(0)
    digits = min(max(0, 2 - math.floor(math.log10(value))), 3)
    figure = plain_number(value, digits)
    return in_decimals(figure.rstrip("0").rstrip(".") if digits else figure)


def roughly(value: float) -> str:
    """A number of which two figures are known at most: "750 000", "7500", "270", "0.27".

    From five digits on they stand in threes, by a space and no mark (SI Brochure, 5.4.4): a mark would mean
    another thing in another language.
    """
    if _GROUPED_FROM <= value < math.inf:
        digits = 1 - math.floor(math.log10(value))
        return f"{round(value, digits):,.0f}".replace(",", _NARROW_SPACE)
    return in_decimals(_two_figures(value))


def _two_figures(value: float) -> str:
    if value <= 0:
        return plain_number(0)
    digits = 1 - math.floor(math.log10(value))
    figure = plain_number(round(value, digits), max(0, digits))
    return figure.rstrip("0").rstrip(".") if digits > 0 else figure


def spoons(amount_ml: float) -> str | None:
    """ "about 6½ teaspoons", "about ½ measuring cup"; None where that would be off by more than 10 %."""
    if not math.isfinite(amount_ml):
        return None
    if 0.0 <= amount_ml < TEASPOON_ML / 4:
        return say("a few drops")
    if amount_ml > _SPOONS_UP_TO_ML:
        quarters = round(amount_ml / MEASURING_CUP_ML * 4)
        if not _is_near(quarters / 4 * MEASURING_CUP_ML, amount_ml):
            return None
        return say_many(
            "about {number} measuring cup",
            "about {number} measuring cups",
            for_grammar(quarters),
            number=in_quarters(quarters),
        )
    quarters = 2 * round(amount_ml / TEASPOON_ML * 2)
    if not _is_near(quarters / 4 * TEASPOON_ML, amount_ml):
        return None
    return say_many(
        "about {number} teaspoon",
        "about {number} teaspoons",
        for_grammar(quarters),
        number=in_quarters(quarters),
    )


def _is_near(measured_ml: float, amount_ml: float) -> bool:
    return abs(measured_ml - amount_ml) <= _SPOONS_OFF_BY * amount_ml


def for_grammar(quarters: int) -> int:
    """As how many so many quarters are spoken of: "½ teaspoon", "1 teaspoon", "1½ teaspoons"."""
    return 1 if quarters <= 4 else max(quarters // 4, 2)


def in_quarters(quarters: int) -> str:
    """ "¾", "2", "6½": so many quarters of a thing."""
    whole, rest = divmod(quarters, 4)
    return number(whole) if whole > 999 else f"{whole or ''}{_QUARTERS[rest]}"


def volume_with_spoons(amount_ml: float) -> str:
    """ "32 mL (about 6½ teaspoons)"; without spoons where they would be off."""
    measured = spoons(amount_ml)
    return volume(amount_ml) if measured is None else f"{volume(amount_ml)} ({measured})"


def room(size_mb: float) -> str:
    """Room on a disk: "350 MB", "1.2 GB"."""
    if size_mb < _MB_IN_A_GB:
        return f"{number(size_mb)} MB"
    return f"{number(size_mb / _MB_IN_A_GB, 1)} GB"


def level(loss_ml: float) -> str:
    """Where the water stands: "24 mL below the mark", "at the mark", "12 mL above the mark"."""
    if not math.isfinite(loss_ml):
        return not_known()
    if abs(loss_ml) < 0.5:
        return say("at the mark")
    if loss_ml > 0:
        return say("{amount} mL below the mark", amount=number(loss_ml))
    return say("{amount} mL above the mark", amount=number(-loss_ml))


def water_in(count: int) -> str:
    """What a level is of: "Water in each cup", "Water in the vessel"."""
    return say("Water in each cup") if count > 1 else say("Water in the vessel")


def salt_in() -> str:
    """What a salinity is of, in plain words: grams of salt in a kilogram of brine."""
    return say("Salt in a kg of brine")


def level_range(loss_ml: Range) -> str:
    """What is believed of the level; a range that crosses the mark names both sides."""
    low, likely, high = loss_ml.p10, loss_ml.p50, loss_ml.p90
    if not all(math.isfinite(value) for value in (low, likely, high)):
        return not_known()
    if number(low) == number(high):
        return say("about {value}", value=level(likely)) if abs(likely) >= 0.5 else level(likely)
    return say("most likely {likely} ({ends})", likely=level(likely), ends=level_ends(loss_ml))


def level_ends(loss_ml: Range) -> str:
    """ "5 to 24" on the side that the likely level names, else "2 above to 7 below"."""
    low, likely, high = loss_ml.p10, loss_ml.p50, loss_ml.p90
    if low > 0 and likely >= 0.5:
        return say("{low} to {high}", low=number(low), high=number(high))
    if high < 0 and likely <= -0.5:
        return say("{low} to {high}", low=number(-high), high=number(-low))
    return say("{low} to {high}", low=short_level(low), high=short_level(high))


def short_level(loss_ml: float) -> str:
    """ "2 mL above", "at the mark"; beside a level that names the mark."""
    if abs(loss_ml) < 0.5:
        return level(loss_ml)
    figure = number(abs(loss_ml))
    return say("{amount} mL below", amount=figure) if loss_ml > 0 else say("{amount} mL above", amount=figure)


def loss_range(amount_ml: Range) -> str:
    """ "most likely 16 mL a day (7 to 28)"."""
    return _between(
        [number(value) for value in (amount_ml.p10, amount_ml.p50, amount_ml.p90)], say("mL a day")
    )
