"""Plain words for numbers, times (see `times`) and vessels, for people from about eleven years of age."""

import math
import unicodedata
from collections.abc import Sequence

from reports.amounts import MEASURING_CUP_ML as MEASURING_CUP_ML
from reports.amounts import TEASPOON_ML as TEASPOON_ML
from reports.amounts import level as level
from reports.amounts import level_range as level_range
from reports.amounts import loss_range as loss_range
from reports.amounts import spoons as spoons
from reports.amounts import volume as volume
from reports.amounts import volume_with_spoons as volume_with_spoons
from reports.numbers import between, with_unit
from reports.numbers import in_decimals as in_decimals
from reports.numbers import not_known as not_known
from reports.numbers import number as number
from reports.numbers import plain_number as plain_number
from reports.records import Range
from reports.times import ago as ago
from reports.times import believed_moment as believed_moment
from reports.times import clock as clock
from reports.times import day as day
from reports.times import duration as duration
from reports.times import duration_after as duration_after
from reports.times import elapsed as elapsed
from reports.times import full_moment as full_moment
from reports.times import hours as hours
from reports.times import is_named as is_named
from reports.times import moment as moment
from reports.times import moment_range as moment_range
from reports.times import on_day as on_day
from reports.times import on_moment as on_moment
from reports.times import short_day as short_day
from reports.times import short_moment as short_moment
from reports.times import weekday as weekday
from reports.tongue import say, say_in


def clean(text: str) -> str:
    """One line of printable text: controls and stray halves of characters become spaces or "?"."""
    kept = "".join("?" if "\ud800" <= c <= "\udfff" else _printable(c) for c in text)
    return " ".join(kept.split())


def _printable(character: str) -> str:
    return " " if unicodedata.category(character) in ("Cc", "Cf", "Zl", "Zp") else character


def shortened(text: str, limit: int) -> str:
    """The text in at most `limit` characters; "…" stands where something was left out."""
    text = clean(text)
    if len(text) <= limit:
        return text
    return text[: max(limit - 1, 0)].rstrip(" ,;(") + "…" if limit > 0 else ""


def joined(parts: Sequence[str]) -> str:
    """ "a", "a and b", "a, b and c"."""
    if len(parts) < 2:
        return "".join(parts)
    return say("{first} and {last}", first=", ".join(parts[:-1]), last=parts[-1])


def in_unit(water_c: float, unit: str) -> float:
    """A temperature in °C as a number of the set unit, "C" or "F"."""
    return water_c * 1.8 + 32.0 if unit == "F" else water_c


def temperature(water_c: float, unit: str, digits: int = 1) -> str:
    """ "18.2 °C" or "64.8 °F"."""
    return with_unit(number(in_unit(water_c, unit), digits), f"°{unit}")


def difference(step_k: float, unit: str) -> str:
    """How far two temperatures are apart: "15.5 °C" or "27.9 °F"."""
    return with_unit(number(step_k * 1.8 if unit == "F" else step_k, 1), f"°{unit}")


def both_units(water_c: float) -> str:
    """ "33 °C (91 °F)", where safety asks that everybody can read it."""
    return f"{temperature(water_c, 'C', 0)} ({temperature(water_c, 'F', 0)})"


def temperature_range(believed: Range, unit: str) -> str:
    """ "between 17.5 and 19.0 °C, most likely 18.2 °C"."""
    ends = [number(in_unit(value, unit), 1) for value in (believed.p10, believed.p50, believed.p90)]
    return between(ends, f"°{unit}")


def span_c(low_c: float, high_c: float, unit: str) -> str:
    """ "25 to 28 °C"."""
    return say("{low} to {high}", low=number(in_unit(low_c, unit)), high=temperature(high_c, unit, 0))


def hours_range(length_h: Range) -> str:
    """ "between 1.5 and 4.0 hours, most likely 2.5 hours"; what is shorter than half an hour is said so."""
    if math.isfinite(length_h.p90) and length_h.p90 < 0.5:
        return say("less than half an hour, if at all")
    return between(
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


def percent_range(believed: Range) -> str:
    """ "between 40 and 62 %, most likely 51 %"."""
    shares = (believed.p10, believed.p50, believed.p90)
    if not all(math.isfinite(share) for share in shares):
        return not_known()
    if believed.p90 < 0.01:
        return say("none, or less than 1 %")
    if believed.p10 > 0.99:
        return say("more than 99 %")
    return between([number(share * 100) for share in shares], "%")


def salinity_range(believed: Range) -> str:
    """ "between 26.1 and 28.0 g/kg, most likely 26.9 g/kg"."""
    return between([number(value, 1) for value in (believed.p10, believed.p50, believed.p90)], "g/kg")


def light(value: float, light_unit: str) -> str:
    """ "180 lux", or the share of full light where the probe knows no lux."""
    if light_unit == "fraction":
        return say("{share} of full light", share=percent(value))
    return with_unit(number(value), say("lux"))


def vessel_name(vessel: str, count: int) -> str:
    """ "tray-a (24 cups)", or the bare name of a single vessel."""
    return say("{vessel} ({count} cups)", vessel=clean(vessel), count=count) if count > 1 else clean(vessel)


def into_each(count: int) -> str:
    """Where to pour into: "each cup" of a tray, "the vessel" where there is one."""
    return say_in("pour into", "each cup") if count > 1 else say_in("pour into", "the vessel")


def in_each(count: int) -> str:
    """Where the water is, or is taken out of: "each cup", "the vessel"."""
    return say_in("in, out of", "each cup") if count > 1 else say_in("in, out of", "the vessel")
