"""The form of a tin's test: what is asked, and what is wrong with what was typed."""

from collections.abc import Mapping, Sequence

from reports.language import in_its_language, say
from reports.page.field import Field, filled
from reports.records import Setting
from reports.words import clean

PUT, HATCHED, HOURS, WATER, LOT = "put", "hatched", "hours", "water", "lot"
NEW_TIN = "new_tin"  # the name that whoever keeps a test says is that of a new tin
UMBRELLA, FULL_LEFT = "umbrella", "full_left"
FIELDS = (PUT, HATCHED, HOURS, WATER, UMBRELLA, FULL_LEFT, LOT)


@in_its_language
def title(_setting: Setting) -> str:
    """Of the view."""
    return say("Test a tin")


@in_its_language
def fields(
    setting: Setting, values: Mapping[str, str], faults: Mapping[str, str], lots: Sequence[str]
) -> list[Field]:
    """By what is filled in and what is wrong with it, by name; `lots` are the tins that somebody named."""
    asked = [
        Field(PUT, say("Cysts put in"), say("Such as 50. Count them dry, on dark paper."), longest=10),
        Field(HATCHED, say("Animals hatched"), say("All that swim free, dead ones too."), longest=10),
        Field(HOURS, say("Hours since they were wetted"), say("Empty: long enough."), longest=10),
        Field(
            WATER,
            say("Warmth of the water, in °{unit}", unit=setting.unit),
            say("As it was on the whole; with the hours."),
            longest=10,
        ),
    ]
    if lots or LOT in faults:
        some = (("", say("another")), *((lot, clean(lot)) for lot in lots))
        asked.append(Field(LOT, say("Which tin"), options=some))
    asked += [
        Field(
            UMBRELLA,
            say("In the umbrella stage"),
            say("Out of the shell and hanging below it. They are on their way."),
            longest=10,
            aside=not (values.get(UMBRELLA) or UMBRELLA in faults),
        ),
        Field(
            FULL_LEFT,
            say("Full cysts left"),
            say("An embryo is in them. Bleach that shows it is for adults, with gloves and goggles."),
            longest=10,
            aside=not (values.get(FULL_LEFT) or FULL_LEFT in faults),
        ),
    ]
    return filled(asked, values, faults)


@in_its_language
def kept_fields(_setting: Setting, lot: str, fault: str, lots: Sequence[str]) -> tuple[Field, ...]:
    """What is asked of who keeps a test: the name of the tin, with `lots` as suggestions."""
    suggested = tuple(map(clean, lots))
    hint = say("As you name it when you set a batch.")
    return (
        Field(LOT, say("Name of the tin"), hint, value=lot, fault=fault, longest=80, suggested=suggested),
    )


@in_its_language
def alike(_setting: Setting, name: str, like: str) -> str:
    """What is asked of a name that no tin had before, and another has in other letters."""
    return say(
        "No tin was called {name} before: did you mean {like}? Nothing is kept yet.",
        name=clean(name),
        like=clean(like),
    )


@in_its_language
def first_words(_setting: Setting) -> str:
    """What the test is for, before anything is filled in."""
    return say(
        "Put some cysts into brine, keep them warm and lit, and count what hatched. Nothing is noted here."
    )
