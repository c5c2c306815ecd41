"""A field of a form of the page, with what is filled in and what is wrong with it."""

from dataclasses import dataclass


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
