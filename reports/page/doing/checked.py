"""What the care log's checks say of a field, said anew from its parts (daemon/page/deeds/checked.py)."""

from collections.abc import Callable, Mapping, Sequence

from reports.amounts import in_decimals
from reports.language import ENGLISH, languages, say, say_many, say_many_in, spoken, to_say

# The units of the care log, as people write them; what is counted has none.
_UNITS = {"ml": "mL", "g_per_l": "g/L", "g_per_kg": "g/kg", "c": "°C"}
_COUNTED = ("fraction", "cysts", "animals")
_FIXED = {
    "time": to_say(
        "08:30, 'Sat 18:00', 'yesterday 18:00', '2026-11-28 08:30', or RFC 3339 with an offset; not ahead"
    ),
    "past": to_say("now or earlier"),
    "number": to_say("a plain number with a decimal point, such as 21.5"),
    "whole": to_say("a whole number, such as 21"),
    "spoons": to_say("a number, in ml, l, tsp (5 ml), tbsp (15 ml)"),
    "animals": to_say("a number of animals"),
    "cover": to_say("1 (put on) or 0 (taken off)"),
    "nothing": to_say("nothing"),
    "once": to_say("each of them once"),
    "second": to_say("this cup a second time"),
    "lost-cup": to_say("a cup that is lost"),
    "not-lost": to_say("another one, or first say that it is not lost"),
    "empty-file": to_say("an empty file"),
    "nul": to_say("a NUL byte, which no text has"),
    "empty-line": to_say("an empty line"),
    "no-csv": to_say("a row that is no CSV"),
    "some-hours": to_say("hours for some counts and none for others"),
    "utf-8": to_say("text saved as UTF-8 (a spreadsheet asks for the character set when it saves a CSV)"),
    "shorter": to_say("shorter lines"),
    "end-lines": to_say("empty lines at the end only"),
    "quotes": to_say("one row a line, quotes closed"),
    "number-or-nothing": to_say("a plain number with a decimal point, such as 21.5, or nothing"),
    "take-hours": to_say(
        "hours for all counts or for none: give these cups once more in the table, without hours, or take "
        "their counts back"
    ),
    "give-hours": to_say(
        "hours for all counts or for none: give these cups once more in the table, with hours, or take their "
        "counts back"
    ),
    "all-or-none": to_say("hours for all counts or for none"),
    "code": to_say("a code of the seat map"),
    "a-cup": to_say("one count a cup, or one a cup and hour"),
}


def is_said_anew(language: str) -> bool:
    """Whether a line is said otherwise than the checks say it."""
    return language != ENGLISH and language in languages()


def refused(language: str, found: str, allowed: str) -> str:
    """The whole line."""
    with spoken(language):
        return say("Found {found}; allowed: {allowed}.", found=found, allowed=allowed)


def missing(language: str) -> str:
    """A field that may not be empty."""
    with spoken(language):
        return say("This has to be filled in.")


def part(language: str, name: str, parts: Sequence[str]) -> str:
    """What was found or is allowed, by the name of its pattern there, and what stood in its places."""
    with spoken(language):
        return _SAID[name](*parts)


def _ahead(found: str, count: str, unit: str) -> str:
    return say("{found}, {time} ahead", found=found or say("a moment"), time=_time(int(count), unit))


def _time(count: int, unit: str) -> str:
    match unit:
        case "minutes":
            return say_many("{count} minute", "{count} minutes", count)
        case "hours":
            return say_many("{count} hour", "{count} hours", count)
    return say_many("{count} day", "{count} days", count)


def _ago(count: str) -> str:
    return say(
        "a moment {time} ago", time=say_many_in("after, ago", "{count} day", "{count} days", int(count))
    )


def _range(low: str, high: str, unit: str, of_one_cup: str, in_water: str) -> str:
    ends = say("{low} to {high}", low=in_decimals(low), high=in_decimals(high))
    notes = (
        say("(of one cup: twice its mark at most)") if of_one_cup else "",
        say("in such water") if in_water else "",
    )
    return " ".join(filter(None, (ends, "" if unit in _COUNTED else _UNITS.get(unit, unit), *notes)))


# By the name of a pattern: its words, from its parts.
_SAID: Mapping[str, Callable[..., str]] = {
    **{name: (lambda sentence=sentence: say(sentence)) for name, sentence in _FIXED.items()},
    "ahead": _ahead,
    "ago": _ago,
    "range": _range,
    "of-cup": lambda most: say("{low} to {high}", low="0", high=most),
    "as-set": lambda what: (
        say("the level as it was set, or nothing")
        if what == "level"
        else say("the salt as it was set, or nothing")
    ),
    "twice": lambda what: say("{what} twice", what=what),
    "near": lambda found, near: say("{found} (did you mean {near}?)", found=found, near=near),
    "mixed": lambda those, others, cups, more: say_many(
        "{count} count with hours and {others} without, with those that stand (look at {cups})",
        "{count} counts with hours and {others} without, with those that stand (look at {cups})",
        int(those),
        others=others,
        cups=f"{cups} …" if more else cups,
    ),
    "header": lambda found: say("the header {header}", header=found),
    "byte": lambda byte: say("the byte {byte}, which is not UTF-8", byte=byte),
    "long-line": lambda count: say("a line of more than {count} bytes", count=count),
    "columns": lambda count: say_many("{count} column", "{count} columns", int(count)),
    "characters": lambda count: say_many("{count} character", "{count} characters", int(count)),
    "counts": lambda count: say_many("{count} count", "{count} counts", int(count)),
    "any-order": lambda header, more: say(
        "{header}, in any order, and beside them some of {more}", header=header, more=more
    ),
    "exactly": lambda header, behind: (
        say("{header}, in this order; behind it some of {more}", header=header, more=behind)
        if behind
        else say("{header}, in this order", header=header)
    ),
    "rows-below": lambda header: say("the header {header} and rows below it", header=header),
    "columns-of": lambda count, header: f"{count} ({header})",
    "up-to": lambda most: say("up to {most}", most=most),
    "above": lambda most: say("above 0, up to {most}", most=most),
    "cysts-in-cup": lambda most: say("{low} to {high}", low="1", high=most),
    "days": lambda count: say("within the last {count} days", count=count),
    "line": lambda count: say("one line of text, 1 to {count} characters", count=count),
    "either": lambda one, other: say(
        "{one} or {other}, whichever is meant", one=one, other=in_decimals(other)
    ),
    "units": lambda units: say("a number, in {units}", units=units),
    "share": lambda *shares: say("a share, such as {examples}", examples=", ".join(map(in_decimals, shares))),
}
