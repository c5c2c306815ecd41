"""How a dose is made up, step by step."""

from reports import amounts
from reports.language import say, say_many
from reports.planning.card import PlanReader
from reports.planning.dose_figures import CystFigures, DoseFigures, ScaleReading

_FIRST_PART = 0.9  # of the litre that a recipe is made up to, before it is filled up
_SHARED_ML = 10.0  # of the brine that cysts are stirred into, a vessel
_LEAST_SHARED_G = 0.05  # what a fine kitchen scale shows well [P]
_MOST_PINCHES_IN_QUARTERS = 4 * 5
_DIVISION, _DIVISION_G = 0.001, 1.5  # of a usual hydrometer, and the salt in a kg that it stands for


def steps(reader: PlanReader, figures: DoseFigures) -> tuple[str, ...]:
    """All of them, in the language spoken now."""
    given = next((one for one in figures.doses if one.cysts is not None), None)
    return (
        say("Let chlorinated tap water stand for a day, or treat it as your water company says."),
        *_stirring(figures),
        *([] if figures.scale is None else [_checking(reader, figures.scale)]),
        *_sharing(figures),
        *(
            []
            if given is None or given.cysts is None
            else [_giving(given.cysts, sum(one.count for one in figures.doses), figures)]
        ),
    )


def _stirring(figures: DoseFigures) -> list[str]:
    one = figures.alone
    times = one.count if one else 1
    salt_g, soda_g, volume_ml, water_ml = (
        (one.salt_g * times, one.soda_g * times, one.volume_ml * times, one.water_ml * times)
        if one
        else (figures.salt_g_per_l, figures.soda_g_per_l, 1000.0, 1000.0)
    )
    if figures.salt_means == "to":
        water_ml = _FIRST_PART * volume_ml
    salt, soda, water = amounts.grams(salt_g), amounts.grams(soda_g), amounts.litres(water_ml)
    if salt_g <= 0.0:
        stirred = say("Stir {soda} of baking soda into {water} of plain water.", soda=soda, water=water)
    elif soda_g > 0.0:
        stirred = say(
            "Stir {salt} of salt and {soda} of baking soda into {water} of plain water until nothing is left "
            "to see.",
            salt=salt,
            soda=soda,
            water=water,
        )
    else:
        stirred = say(
            "Stir {salt} of salt into {water} of plain water until nothing is left to see.",
            salt=salt,
            water=water,
        )
    lines = [stirred] if salt_g > 0.0 or soda_g > 0.0 else []
    if figures.salt_means == "to":
        lines.append(say("Fill it up with plain water to {volume}.", volume=amounts.litres(volume_ml)))
    if one is None:
        lines.append(say("So for each litre that you need."))
    return lines


def _checking(reader: PlanReader, scale: ScaleReading) -> str:
    salt = scale.kind == "salinity-g-per-kg"
    digits, near = (0, _DIVISION_G) if salt else (3, _DIVISION)
    low, reading, high = (amounts.number(scale.reading + by, digits) for by in (-near, 0.0, near))
    reads = say(
        "In this brine of {water} it should read {reading}; {low} to {high} is near enough.",
        water=amounts.temperature(scale.water_c, reader.temperature_unit, 0),
        reading=reading,
        low=low,
        high=high,
    )
    unit = _printed_unit(scale)
    made = amounts.temperature(scale.made_for_c, unit, _printed_digits(scale.made_for_c, unit))
    if scale.kind == "specific-gravity":
        digits = _printed_digits(scale.made_for_c, unit)
        first = amounts.number(amounts.in_unit(scale.made_for_c, unit), digits)
        against = amounts.temperature(scale.against_c, unit, _printed_digits(scale.against_c, unit))
        return say(
            "Check with a hydrometer marked {made}/{against}. {reads}",
            made=first,
            against=against,
            reads=reads,
        )
    if salt:
        return say(
            "Check with a hydrometer that shows ppt of sea salt, made for {made}. {reads}",
            made=made,
            reads=reads,
        )
    return say("Check with a hydrometer in g/mL, made for {made}. {reads}", made=made, reads=reads)


def _printed_unit(scale: ScaleReading) -> str:
    """In which unit such temperatures are printed: 60 °F are no round number of °C."""
    return "C" if all(_is_round(one) for one in (scale.made_for_c, scale.against_c)) else "F"


def _printed_digits(water_c: float, unit: str) -> int:
    return 0 if abs(amounts.in_unit(water_c, unit) % 1.0 - 0.5) > 0.45 else 1


def _is_round(water_c: float) -> bool:
    """Whether it is a number of °C with one decimal."""
    return abs(10.0 * water_c - round(10.0 * water_c)) < 1e-6


def _sharing(figures: DoseFigures) -> list[str]:
    one = figures.alone
    if one is None:
        return [say("Fill each vessel to its mark.")]
    if one.count == 1:
        return []
    return [say("Share it out among the {count}, as much into each.", count=one.count)]


def _pinches(number: float) -> list[str]:
    """How many pinches one vessel takes, where hands can tell."""
    quarters = round(4.0 * number)
    if not 1 <= quarters <= _MOST_PINCHES_IN_QUARTERS:
        return []
    told = amounts.in_quarters(quarters)
    more = amounts.for_grammar(quarters)
    return [
        say_many("Each takes about {number} pinch.", "Each takes about {number} pinches.", more, number=told)
    ]


def _giving(cysts: CystFigures, vessels: int, figures: DoseFigures) -> str:
    pinch_g = figures.pinch_g
    together_g = cysts.taken_g * vessels
    if cysts.counted or (not cysts.can_be_weighed and together_g < _LEAST_SHARED_G):
        return say("Count the cysts with a lens and a damp brush, and rinse them into the brine.")
    on_top = say("Give the cysts on top. They float at first and sink within a quarter of an hour.")
    if cysts.way == "pinches":
        return on_top
    if cysts.can_be_weighed:
        pinch = say(
            "No fine scales? A small pinch is about {weight} ({low} to {high} g).",
            weight=amounts.grams(pinch_g.p50),
            low=amounts.roughly(pinch_g.p10),
            high=amounts.roughly(pinch_g.p90),
        )
        return " ".join([on_top, pinch, *(_pinches(cysts.taken_g / pinch_g.p50) if figures.alone else ())])
    return say(
        "So few are hard to weigh: stir {weight} into {volume} of the brine. Give 10 mL of it to each, "
        "stirring all the time.",
        weight=amounts.grams(together_g),
        volume=amounts.litres(_SHARED_ML * vessels),
    )
