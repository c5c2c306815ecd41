"""What may be noted about a vessel: the buttons, in the order that is likely at its stage.

A choice is a deed of the care log, perhaps with its amount: "about half" is the deed `hatched` with 0.5.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from reports.language import in_its_language, say, to_say
from reports.letters.pouring import is_to_fill
from reports.records import Setting, VesselNight


@dataclass(frozen=True, slots=True)
class Choice:
    """A button: its key in addresses, its words, the care log's deed, the amount and the details it stands
    for; `rare` ones stand behind the others."""

    key: str
    label: str
    deed: str
    amount: str | None = None
    detail: Mapping[str, str] = field(default_factory=dict)
    rare: bool = False

    @property
    def steps(self) -> tuple["Choice", ...]:
        """Itself; of brine to the mark first the brine and then that the water stands there."""
        if self.deed != "brine" or not self.detail:
            return (self,)
        return Choice(self.key, self.label, "brine"), Choice(self.key, self.label, "top-up", "0", self.detail)


# "Nearly all" is read as nine in ten, "about half" as one in two: our own reading, no source.
_ALL = (
    Choice("fill", to_say("Filled to the mark"), "top-up", detail={"to": "mark"}),
    Choice("stir", to_say("Stirred"), "stir"),
    Choice("feed", to_say("Fed"), "feed"),
    Choice("none-yet", to_say("Looked: none yet"), "hatched", "0"),
    Choice("first-swimmer", to_say("First swimmer!"), "first-swimmer"),
    Choice("about-half", to_say("About half hatched"), "hatched", "0.5"),
    Choice("nearly-all", to_say("Nearly all hatched"), "hatched", "0.9"),
    Choice("count", to_say("Counted"), "count"),
    Choice("salt", to_say("Measured the salt"), "salinity"),
    Choice("harvest", to_say("Harvested"), "harvest"),
    Choice("cover", to_say("Covered"), "cover", "1"),
    Choice("uncover", to_say("Cover taken off"), "cover", "0"),
    Choice("set", to_say("Eggs (cysts) set"), "set"),
    Choice("end", to_say("Batch ended"), "end"),
    Choice("top-up", to_say("Poured in water, not to the mark"), "top-up", rare=True),
    Choice("refill", to_say("Filled to the mark with brine"), "brine", detail={"to": "mark"}, rare=True),
    Choice("brine", to_say("Poured in brine"), "brine", rare=True),
    Choice("remove", to_say("Took water out"), "remove", rare=True),
    Choice("share", to_say("Another share hatched"), "hatched", rare=True),
    Choice("note", to_say("Something else"), "note", rare=True),
)
CHOICES: Mapping[str, Choice] = {choice.key: choice for choice in _ALL}
# Where an entry is changed, all that its deed may hold is asked.
OF_DEED: Mapping[str, Choice] = {
    **{choice.deed: Choice(choice.key, choice.label, choice.deed) for choice in reversed(_ALL)},
    "top-up": Choice("top-up", to_say("Poured in water"), "top-up"),
    "cover": Choice("cover", to_say("Cover"), "cover"),
    "hatched": Choice("share", to_say("Looked: share that has hatched"), "hatched"),
}
# What somebody most likely did at a stage, our own judgement.
_LIKELY: Mapping[str, Sequence[str]] = {
    "nothing set": ("set",),
    "set": ("none-yet", "first-swimmer", "stir"),
    "hatching": ("none-yet", "first-swimmer", "about-half", "nearly-all"),
    "hatched": ("nearly-all", "feed", "count", "harvest"),
    "growing": ("feed", "count", "harvest"),
    "being harvested": ("harvest", "fill", "feed", "end"),
    "harvested": ("end", "fill"),
    "ended": ("set",),
}


@dataclass(frozen=True, slots=True)
class Buttons:
    """The choices as they stand: the likely ones, the others, those behind them; each a key and its words."""

    likely: tuple[tuple[str, str], ...]
    others: tuple[tuple[str, str], ...]
    rare: tuple[tuple[str, str], ...]


@in_its_language
def buttons(setting: Setting, vessel: VesselNight) -> Buttons:
    """The buttons of a vessel as it stands."""
    asked = ["fill"] if is_to_fill(setting, vessel) else []
    likely = list(
        dict.fromkeys(meant(CHOICES[key], vessel).key for key in (*asked, *_LIKELY.get(vessel.stage, ())))
    )
    rest = [one for one in _ALL if one.key not in likely and meant(one, vessel) is one]
    return Buttons(
        tuple(_button(CHOICES[key]) for key in likely),
        tuple(_button(choice) for choice in rest if not choice.rare),
        tuple(_button(choice) for choice in rest if choice.rare),
    )


def meant(choice: Choice, vessel: VesselNight) -> Choice:
    """The choice, or brine for it where it is to fill a vessel in which plain water is not due."""
    return CHOICES["refill"] if choice.key == "fill" and vessel.brine is not None else choice


def _button(choice: Choice) -> tuple[str, str]:
    return choice.key, say(choice.label)
