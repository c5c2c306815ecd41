"""What there is to print, what can be chosen above a sheet, and the cautions at its foot."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from reports import times, words
from reports.language import in_its_language, say, to_say
from reports.letters.sentences import HYGIENE, MAINS, NO_FIRE_ALARM, NO_HOT_LAMP
from reports.records import Setting

A4, LETTER = "a4", "letter"
PAPERS: Mapping[str, str] = {A4: to_say("A4"), LETTER: to_say("US Letter")}
_SHEETS = (
    (
        *("/paper/labels", to_say("Labels for cups")),
        to_say("A code on each: a phone that reads it opens the page where you note what was done."),
    ),
    (
        *("/paper/week", to_say("Care sheet for a week")),
        to_say("What is expected in each vessel on each day, with boxes to tick."),
    ),
    (
        *("/paper/count", to_say("Form for counting")),
        to_say("From a few counted samples to the animals in the vessel, and the hatched share of cysts."),
    ),
    (
        *("/paper/dose", to_say("Dose card")),
        to_say("Salt, baking soda and cysts for each vessel, by weight."),
    ),
    (
        *("/paper/experiment", to_say("Seat map of an experiment")),
        to_say("Which cup stands where, by its code, with a form for counting or the list of levels."),
    ),
)
_ALL = to_say("all")
HEATERS = to_say(
    "Before you pour or draw off beside a heater, unplug it with dry hands. It goes on again only when the "
    "water covers it."
)


@dataclass(frozen=True, slots=True)
class SheetChoice:
    """What can be chosen above a sheet: its `key` in the address, its label, the key of what is chosen, and
    what there is, by key and name."""

    key: str
    label: str
    chosen: str
    options: tuple[tuple[str, str], ...]


@in_its_language
def title(_setting: Setting) -> str:
    """Of the list of sheets."""
    return say("On paper")


@in_its_language
def sheets(_setting: Setting) -> list[tuple[str, str, str]]:
    """Each sheet's address, its name, and what it is for."""
    return [(path, say(name), say(what)) for path, name, what in _SHEETS]


@in_its_language
def name_of(_setting: Setting, path: str) -> str:
    """A sheet's name, by its address."""
    return next(say(name) for one, name, _ in _SHEETS if one == path)


@in_its_language
def paper_choice(_setting: Setting, chosen: str) -> SheetChoice:
    """Which paper is in the printer."""
    return SheetChoice("paper", say("Paper"), chosen, tuple((key, say(one)) for key, one in PAPERS.items()))


@in_its_language
def vessel_choice(_setting: Setting, chosen: str, vessels: Sequence[str], *, none: str = _ALL) -> SheetChoice:
    """Of which vessel the sheet is; `none` says what it is of where none is chosen (marked by `to_say`)."""
    named = tuple((one, words.clean(one)) for one in vessels)
    return SheetChoice("vessel", say("Vessel"), chosen, (("", say(none)), *named))


@in_its_language
def as_of(setting: Setting) -> str:
    """What stands in a sheet's head: whose it is, and when it was made."""
    moment = times.full_moment(setting.written_at)
    return say("{station}, {moment}", station=words.clean(setting.station), moment=moment)


@in_its_language
def care_of_animals(_setting: Setting) -> list[str]:
    """The cautions of whoever touches water, cysts or animals."""
    return [say(HYGIENE)]


@in_its_language
def care_of_room(_setting: Setting, *, heated: bool) -> list[str]:
    """The cautions of whoever looks after the vessels; `heated` where one of them has a heater."""
    heaters = [say(HEATERS)] if heated else []
    return [say(HYGIENE), say(MAINS), *heaters, say(NO_HOT_LAMP), say(NO_FIRE_ALARM)]
