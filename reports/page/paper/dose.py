"""The dose card: salt, baking soda and cysts for each vessel, and from where the recipe is."""

from collections.abc import Sequence
from dataclasses import dataclass

from reports import amounts, words
from reports.language import in_its_language, say, say_many
from reports.letters.known import listed
from reports.records import Setting


@dataclass(frozen=True, slots=True)
class Recipe:
    """What is taken of each, per litre of water; `salt_g_per_kg` is what that salt makes of the water.

    `soda_most_g_per_l` is the most that is advised. `cysts_g_per_l` is what a cup is usually set with; a
    small pinch of cysts has `pinch_cysts` of them, a third to `pinch_factor` times that, and weighs
    `pinch_g`.
    """

    salt_g_per_l: float
    salt_g_per_kg: float
    soda_most_g_per_l: float
    cysts_g_per_l: float
    pinch_cysts: float
    pinch_factor: float
    pinch_g: float


@dataclass(frozen=True, slots=True)
class Dose:
    """Of one vessel: water to the mark, mL a cup, and grams a cup. `cysts_g` is None where none is usual;
    `salt_spoons` are heaping tablespoons of a cup and of all cups, None where no whole ones are near."""

    vessel: str
    count: int
    water_ml: float
    salt_g: float
    soda_most_g: float
    cysts_g: float | None
    cysts_most_g: float
    salt_spoons: int | None
    salt_spoons_all: int | None


@dataclass(frozen=True, slots=True)
class DoseRow:
    """A dose in words, of one vessel or of several alike: of one cup, and of all cups of a tray (empty where
    it is none)."""

    name: str
    each: tuple[str, ...]
    all_of_them: tuple[str, ...]


@in_its_language
def heads(_setting: Setting) -> tuple[str, ...]:
    """Of the table's columns."""
    return (
        say("Vessel"),
        say("Plain water"),
        say("Salt"),
        say("Baking soda, at most"),
        say("Cysts, as usual for a cup"),
        say("Cysts, never more"),
    )


@in_its_language
def rows(_setting: Setting, doses: Sequence[Dose]) -> list[DoseRow]:
    """A row for vessels alike, in the station's order."""
    alike: dict[tuple[tuple[str, ...], tuple[str, ...]], list[str]] = {}
    for one in doses:
        all_of_them = _cells(one, one.count) if one.count > 1 else ()
        alike.setdefault((_cells(one, 1), all_of_them), []).append(words.vessel_name(one.vessel, one.count))
    return [DoseRow(listed(names), each, all_of_them) for (each, all_of_them), names in alike.items()]


def _cells(one: Dose, times: int) -> tuple[str, ...]:
    spoons = one.salt_spoons if times == 1 else one.salt_spoons_all
    usual = say("no usual dose") if one.cysts_g is None else amounts.grams(one.cysts_g * times)
    return (
        amounts.litres(one.water_ml * times),
        _salt(one.salt_g * times, spoons),
        amounts.grams(one.soda_most_g * times),
        usual,
        amounts.grams(one.cysts_most_g * times),
    )


def _salt(salt_g: float, spoons: int | None) -> str:
    """With spoons where a whole number of them is near: a heaping tablespoon a litre [P]."""
    if spoons is None:
        return amounts.grams(salt_g)
    heaped = say_many("about {count} heaping tablespoon", "about {count} heaping tablespoons", spoons)
    return say("{amount} ({spoons})", amount=amounts.grams(salt_g), spoons=heaped)


@in_its_language
def notes(_setting: Setting, recipe: Recipe) -> list[str]:
    """How it is done, and from where each figure is."""
    low, high = recipe.pinch_cysts / recipe.pinch_factor, recipe.pinch_cysts * recipe.pinch_factor
    return [
        say(
            "Salt: {salt} stirred into a litre of plain water, which makes {made} g in a kg of brine. "
            "Common practice, no source.",
            salt=amounts.grams(recipe.salt_g_per_l),
            made=amounts.number(recipe.salt_g_per_kg, 1),
        ),
        say("Table salt, sea salt or salt for aquaria: weigh it. A spoon tells its weight only roughly."),
        say(
            "Baking soda: up to {soda} a litre (New 2002, FAO Fisheries Technical Paper 428). It is there to "
            "keep the pH at 8 or above. A pinch a litre is common practice.",
            soda=amounts.grams(recipe.soda_most_g_per_l),
        ),
        say(
            "Cysts for a cup: {cysts} a litre, common practice, no source. More than the last column holds "
            "have too little air (the same paper).",
            cysts=amounts.grams(recipe.cysts_g_per_l),
        ),
        say(
            "A pinch of cysts is about {pinch} ({low} to {high}) of them, or {weight}: weigh where it "
            "matters.",
            pinch=amounts.roughly(recipe.pinch_cysts),
            low=amounts.roughly(low),
            high=amounts.roughly(high),
            weight=amounts.grams(recipe.pinch_g),
        ),
        say("Stir salt and soda in until nothing is left to see, then give the cysts on top."),
    ]


@in_its_language
def care(_setting: Setting) -> str:
    """What is added to the cautions where cysts are handled dry."""
    return say("Open the tin away from faces. Spoons and scales used here are not used for food again.")
