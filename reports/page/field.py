"""A field of a form of the page, with what is filled in and what is wrong with it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace


@dataclass(frozen=True, slots=True)
class Field:
    """`asked.html` shows it. `options` (value and words) make it a list to choose from; `suggested` are words
    that may be meant; `aside` fields stand behind the others; `fault` is what is wrong with its `value`,
    `fault_in` the language that says so where it is not the page's.

    `type` is one of HTML's types of input, or "lines" for several lines of text, or "tick" for what is so
    where `value` is not empty.
    """

    name: str
    label: str
    hint: str = ""
    value: str = ""
    fault: str = ""
    longest: int = 40
    options: tuple[tuple[str, str], ...] = ()
    suggested: tuple[str, ...] = ()
    aside: bool = False
    type: str = "text"
    fault_in: str = ""


def filled(fields: Iterable[Field], values: Mapping[str, str], faults: Mapping[str, str]) -> list[Field]:
    """The same with what somebody wrote into them, and what is wrong with it, by field name."""
    return [replace(one, value=values.get(one.name, ""), fault=faults.get(one.name, "")) for one in fields]
