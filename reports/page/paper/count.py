"""The form for counting: samples of a known volume, what follows from them, and where it is noted."""

from collections.abc import Sequence
from dataclasses import dataclass

from reports import amounts, words
from reports.language import in_its_language, say, to_say
from reports.letters.known import listed
from reports.records import Setting

# More than a few, and no more than fit: common practice, no source.
SAMPLES = 6
VESSEL_BLANK = to_say("to fill in")


@dataclass(frozen=True, slots=True)
class CountedVessel:
    """What the form says of a vessel: `count` cups of `mark_ml` mL to the mark, and where its deeds are
    noted."""

    vessel: str
    count: int
    mark_ml: float
    address: str


@dataclass(frozen=True, slots=True)
class CountForm:
    """The form's words. `vessel` and `address` are empty where they are to be filled in; `marks` says of
    every vessel how much water it holds at its mark."""

    vessel: str
    mark: str
    marks: tuple[str, ...]
    steps: tuple[str, ...]
    shares: tuple[str, ...]
    afterwards: tuple[str, ...]


@in_its_language
def count_form(_setting: Setting, vessels: Sequence[CountedVessel], page: str) -> CountForm:
    """For one vessel, or to be filled in for any of several; `page` is the address of the station's page."""
    alone = vessels[0] if len(vessels) == 1 else None
    return CountForm(
        "" if alone is None else words.vessel_name(alone.vessel, alone.count),
        "" if alone is None else amounts.volume(alone.mark_ml),
        () if alone is not None else _marks(vessels),
        (
            say("Stir slowly from the bottom up, or let air bubble, so that animals are evenly spread."),
            say("Draw a sample at once, 1 mL or more, from the middle. Note its volume."),
            say("Put it on a dark dish, light it from the side, and count all that swim."),
            say("Stir again before each sample. Take at least three, from one cup only."),
            say("Samples that differ widely mean that it was not well stirred: do it anew."),
        ),
        (
            say("Counted are full cysts only, in one sample. Empty shells do not count."),
            say("Too early a count gives too little: the late ones are still in the cyst."),
            say("Bleach, where cysts are cleared with it, is for adults with gloves and goggles."),
        ),
        (
            _where(page if alone is None else alone.address),
            say("Give there all animals you counted, and all mL they were counted in."),
        ),
    )


def _marks(vessels: Sequence[CountedVessel]) -> tuple[str, ...]:
    alike: dict[str, list[str]] = {}
    for one in vessels:
        alike.setdefault(amounts.volume(one.mark_ml), []).append(words.clean(one.vessel))
    return tuple(say("{name}: {amount}", name=listed(of), amount=amount) for amount, of in alike.items())


def _where(address: str) -> str:
    return say('Then open {address} and choose "{deed}".', address=address, deed=say("Counted"))
