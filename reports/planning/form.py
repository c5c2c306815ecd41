"""What forms of plans share: what was typed, fields, and what is wrong with a number or an hour."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from reports import amounts
from reports.language import say, say_in, spoken
from reports.page.doing import checked
from reports.page.field import Field
from reports.words import clean


@dataclass(frozen=True, slots=True)
class AskedPlan:
    """What is filled in, by the field's name, what is wrong with it, and the tins of the station file."""

    values: Mapping[str, str]
    faults: Mapping[str, str] = field(default_factory=dict)
    tins: Sequence[str] = ()


def typed_field(asked: AskedPlan, name: str, label: str, hint: str = "", *, aside: bool = False) -> Field:
    """A field to type into; one that is wrong does not stand aside."""
    fault = asked.faults.get(name, "")
    return Field(name, label, hint, asked.values.get(name, ""), fault, longest=20, aside=aside and not fault)


def chosen_field(asked: AskedPlan, name: str, label: str, options: tuple[tuple[str, str], ...]) -> Field:
    """A list to choose from; the options' words are marked by `to_say`."""
    told = tuple((value, say(words)) for value, words in options)
    return Field(name, label, "", asked.values.get(name, ""), asked.faults.get(name, ""), options=told)


def tin_fields(asked: AskedPlan) -> list[Field]:
    """What is known of the tin, in the language spoken now."""
    tins = (("", say("another, or not known")), *((one, clean(one)) for one in asked.tins))
    lot, unknown = asked.values.get("lot", ""), asked.faults.get("lot", "")
    which = [Field("lot", say("Tin"), "", lot, unknown, options=tins)] if asked.tins or unknown else []
    return [
        *which,
        typed_field(
            asked,
            "share",
            say("Of 100 cysts of your tin, so many hatched"),
            say("From a test; leave it empty where there was none."),
            aside=True,
        ),
        typed_field(
            asked,
            "cysts_per_g",
            say("Cysts in a gram"),
            say("As the tin says; leave it empty where it does not."),
            aside=True,
        ),
    ]


def no_number(language: str) -> str:
    """For what is none."""
    with spoken(language):
        return say("Write a number, such as 200 or 0.5.")


def no_whole_number(language: str) -> str:
    """For what is no count."""
    with spoken(language):
        return say("Write a whole number, such as 28.")


def out_of_range(language: str, low: float, high: float, unit: str = "") -> str:
    """For a number beyond what is known, or sensible."""
    with spoken(language):
        return say("From {low} to {high}, please.", low=_plain(low), high=f"{_plain(high)} {unit}".strip())


def other_unit(language: str, found: str, unit: str) -> str:
    """For a number with a unit that is not asked for."""
    return checked.refused(language, found, checked.part(language, "units", (unit,)))


def either(language: str, found: str, meant: tuple[str, str]) -> str:
    """For `1,500`, which may be one and a half or fifteen hundred."""
    return checked.refused(language, found, checked.part(language, "either", meant))


def decimal_mark(language: str) -> str:
    """Of that language."""
    with spoken(language):
        return say_in("decimal mark", ".")


def as_typed(language: str, value: float) -> str:
    """A number as somebody of that language would type it."""
    with spoken(language):
        return _plain(value)


def in_unit(water_c: float, unit: str) -> float:
    """A temperature in °C as a number of the set unit, "C" or "F"."""
    return amounts.in_unit(water_c, unit)


def no_hour(language: str) -> str:
    """For what is no time of day."""
    with spoken(language):
        return say("Write an hour such as 08:30.")


def _plain(value: float) -> str:
    """A limit as somebody would type it."""
    return amounts.in_decimals(f"{value:.6f}".rstrip("0").rstrip("."))
