"""The dose card: water, salt, baking soda and cysts of vessels, how it is done, and what to buy."""

from collections.abc import Callable

from reports import amounts
from reports.language import in_its_language, say, say_many, to_say
from reports.letters.known import listed
from reports.letters.sentences import HYGIENE
from reports.planning.card import PlanCard, PlanPart, PlanReader, PlanTable, parts_with_words
from reports.planning.dose_figures import CystFigures, DoseFigures, SaltSpoons, VesselDose
from reports.planning.dose_steps import steps
from reports.planning.warned import of_air, of_alarmed, of_salt, of_tin, warned
from reports.records import Range
from reports.words import vessel_name

OPEN_THE_TIN = to_say(
    "Open the tin away from faces. Spoons and scales used here are not used for food again."
)
_GRAINS = {
    "fine": to_say("fine salt"),
    "coarse": to_say("coarse salt"),
    "flakes": to_say("salt flakes"),
}
_QUARTERS = 4
_LEAST_BOUGHT_G = 5.0  # common practice, no source


@in_its_language
def dose_card(reader: PlanReader, figures: DoseFigures) -> PlanCard:
    """The card."""
    parts = (
        warned(_warnings(figures)),
        PlanPart("", table=_table(figures)),
        PlanPart(say("How"), steps(reader, figures), steps=True),
        PlanPart(say("Salt by the spoon, where there are no scales"), table=_spoons(figures)),
        PlanPart(say("What to expect"), _expected(figures)),
        PlanPart(say("What to buy"), _shopping(figures)),
        PlanPart(say("Take care"), (say(HYGIENE), say(OPEN_THE_TIN))),
    )
    return PlanCard(say("Dose card"), parts_with_words(parts))


def _warnings(figures: DoseFigures) -> list[str]:
    salt = of_salt(figures.salt_g_per_kg, figures.good_salt_g_per_kg)
    air = [of_air(one.cysts.most_g) for one in figures.doses if one.cysts and not one.cysts.air_enough]
    return [*of_tin(figures.unknown_tin), *of_alarmed(figures.alarmed_tin), *salt, *air]


def _table(figures: DoseFigures) -> PlanTable:
    """What is taken for one and for all; of several kinds of vessels a row for each."""
    water = say("Plain water") if figures.salt_means == "in" else say("Plain water, about")
    columns: list[tuple[str, Callable[[VesselDose, int], str]]] = [
        (water, lambda one, times: amounts.litres(one.water_ml * times)),
        (say("Salt"), lambda one, times: amounts.grams(one.salt_g * times)),
    ]
    if figures.soda_g_per_l > 0.0:
        columns.append((say("Baking soda"), lambda one, times: amounts.grams(one.soda_g * times)))
    if any(one.cysts for one in figures.doses):
        columns.append((say("Eggs (cysts)"), lambda one, times: _cysts(one.cysts, times)))
    rows: list[tuple[str, ...]] = []
    for one in figures.doses:
        rows.append((_name(one), *(cell(one, 1) for _, cell in columns)))
        if one.count > 1:
            all_of_them = say("all {count} together", count=one.count)
            rows.append((all_of_them, *(cell(one, one.count) for _, cell in columns)))
    heads = (say("Vessel"), *(head for head, _ in columns))
    if figures.alone is None:
        return PlanTable(heads, tuple(rows))
    # So it fits a phone: what is taken stands on the left, for whom above.
    turned = list(zip(heads, *rows, strict=True))
    return PlanTable((say("Take"), *turned[0][1:]), tuple(turned[1:]))


def _name(one: VesselDose) -> str:
    volume = amounts.litres(one.volume_ml)
    if one.names:
        vessels = listed([vessel_name(*each) for each in one.names])
        return say("{vessels}: each of {volume}", vessels=vessels, volume=volume)
    return say("each of {volume}", volume=volume)


def _cysts(cysts: CystFigures | None, times: int) -> str:
    if cysts is None:
        return "–"
    weight = amounts.grams(cysts.taken_g * times)
    if cysts.counted:
        return say("{number} ({weight})", number=amounts.number(cysts.amount * times), weight=weight)
    if cysts.way == "pinches":
        pinches = cysts.amount * times
        more = 1 if pinches == 1 else 2
        return say_many("{number} pinch", "{number} pinches", more, number=amounts.three_figures(pinches))
    if not cysts.can_be_weighed:
        number = amounts.roughly(cysts.cysts.p50 * times)
        return say("{number} ({weight})", number=number, weight=weight)
    return weight


def _spoons(figures: DoseFigures) -> PlanTable | None:
    """A row a grain and way of filling; none for vessels of several kinds."""
    if (alone := figures.alone) is None:
        return None
    many = alone.count > 1
    rows = []
    for one in alone.by_spoon:
        cells = (one.one, one.every) if many else (one.one,)
        if any(cell is not None for cell in cells):
            rows.append((say(_GRAINS[one.grain]), *(_spoons_cell(cell) for cell in cells)))
    heads = (say("Salt"), say("for one"), *((say("for all"),) if many else ()))
    return PlanTable(heads, tuple(rows)) if rows else None


def _spoons_cell(spoons: SaltSpoons | None) -> str:
    if spoons is None:
        return "–"
    quarters = round(spoons.number * _QUARTERS)
    named = _spoon_words(spoons.spoon, amounts.for_grammar(quarters), amounts.in_quarters(quarters))
    low, high = amounts.roughly(spoons.low_g), amounts.roughly(spoons.high_g)
    return say("{spoons}: {low} to {high} g", spoons=named, low=low, high=high)


def _spoon_words(spoon: str, many: int, number: str) -> str:
    match spoon:
        case "level-teaspoon":
            return say_many("{number} level teaspoon", "{number} level teaspoons", many, number=number)
        case "level-tablespoon":
            return say_many("{number} level tablespoon", "{number} level tablespoons", many, number=number)
        case "heaping-teaspoon":
            return say_many("{number} heaping teaspoon", "{number} heaping teaspoons", many, number=number)
        case _:
            return say_many(
                "{number} heaping tablespoon", "{number} heaping tablespoons", many, number=number
            )


def _expected(figures: DoseFigures) -> tuple[str, ...]:
    hatching = [line for one in figures.doses if one.cysts for line in _hatching(one, one.cysts)]
    if hatching and not figures.tested:
        hatching.append(say("Tins differ that much: test some cysts of yours first."))
    return (*hatching, *_brine(figures))


def _hatching(one: VesselDose, cysts: CystFigures) -> list[str]:
    lines = [
        say(
            "Each of {volume}: about {animals} animals of {cysts} cysts.",
            volume=amounts.litres(one.volume_ml),
            animals=_range(cysts.animals),
            cysts=_range(cysts.cysts),
        )
    ]
    if cysts.way == "animals":
        lines.append(
            say(
                "For at least {wanted} nine times in ten, set {weight} in each, about {number} cysts.",
                wanted=amounts.number(cysts.amount),
                weight=amounts.grams(cysts.sure_g),
                number=amounts.roughly(cysts.sure_cysts),
            )
        )
    return lines


def _range(believed: Range) -> str:
    """ "7500 (1400 to 11000)", or one figure where it is sure."""
    low, likely, high = (amounts.roughly(value) for value in (believed.p10, believed.p50, believed.p90))
    if low == high:
        return likely
    return say("{likely} ({low} to {high})", likely=likely, low=low, high=high)


def _brine(figures: DoseFigures) -> list[str]:
    least, most = figures.good_salt_g_per_kg
    salt = amounts.number(figures.salt_g_per_kg, 1)
    lines = [say("The brine holds {salt} g of salt in a kg.", salt=salt)]
    if figures.salt_g_per_kg > most:
        ends = {"least": amounts.number(least), "most": amounts.number(most)}
        lines.append(
            say("Cysts hatch well in {least} to {most} g a kg (FAO Fisheries Technical Paper 428).", **ends)
        )
    if figures.ph is not None:
        mixed, aired = (amounts.number(value, 1) for value in figures.ph)
        lines.append(
            say(
                "Its pH is about {mixed} when just mixed, {aired} after hours of air, give or take {error}. "
                "8 or above is good.",
                mixed=mixed,
                aired=aired,
                error=amounts.number(figures.ph_error, 1),
            )
        )
    if figures.soda_g_per_l > figures.soda_most_g_per_l:
        soda = amounts.grams(figures.soda_most_g_per_l)
        lines.append(
            say("More than {soda} of baking soda a litre is not advised (the same paper, 428).", soda=soda)
        )
    return lines


def _shopping(figures: DoseFigures) -> tuple[str, ...]:
    buy = figures.buy
    needed = [say("Salt: {amount}.", amount=amounts.grams(buy.salt_g))] if buy.salt_g > 0.0 else []
    if buy.soda_g > 0.0:
        needed.append(say("Baking soda: {amount}.", amount=amounts.grams(buy.soda_g)))
    needed.append(say("Plain water: {amount}.", amount=amounts.litres(buy.water_ml)))
    more = amounts.percent(buy.spare)
    lines = [
        " ".join(needed),
        say("That is {more} more than needed: for a vessel spilled or set anew.", more=more),
    ]
    if buy.cysts_g > 0.0:
        cysts = amounts.grams(buy.cysts_g)
        lines.append(
            say("Cysts: {amount}. That is enough for a test of the tin and for a second try.", amount=cysts)
        )
        if buy.cysts_g < _LEAST_BOUGHT_G:
            lines.append(say("Nobody sells so few: the smallest tin, of some grams, is enough."))
    if cones := [vessel_name(*name) for one in figures.doses if one.cysts is None for name in one.names]:
        lines.append(
            say(
                "Cysts for {vessels} are not in this list: `naupliad plan cone` says how they hatch.",
                vessels=listed(cones),
            )
        )
    return (*lines, _things(figures))


def _things(figures: DoseFigures) -> str:
    """What is needed besides and used again."""
    return say_many(
        "Besides, where they are missing: {count} clear vessel, a thermometer, a bright LED lamp, a torch.",
        "Besides, where they are missing: {count} clear vessels, a thermometer, a bright LED lamp, a torch.",
        sum(one.count for one in figures.doses),
    )
