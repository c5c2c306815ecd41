"""The card of a cone: when to draw it off, how, what comes, how to keep it, and a harvest every day."""

from reports import amounts
from reports.language import in_its_language, say, say_many
from reports.letters.sentences import HYGIENE, MAINS, NO_HOT_LAMP
from reports.page.paper.sheets import HEATERS
from reports.planning.card import PlanCard, PlanPart, PlanReader, PlanTable, parts_with_words
from reports.planning.cone_daily import daily, held
from reports.planning.cone_figures import ConeFigures
from reports.planning.dose import OPEN_THE_TIN
from reports.planning.rests_on import rests_on
from reports.planning.warned import of_air, of_alarmed, of_much_salt, of_salt, of_tin, warned
from reports.records import Range

_MILLION = 1e6
_NOT_KNOWN_ABOVE_C = 27.0  # as `daemon.science.hatching` has it


@in_its_language
def cone_card(reader: PlanReader, figures: ConeFigures) -> PlanCard:
    """The card."""
    parts = (
        warned(_warnings(reader, figures)),
        PlanPart(
            _ifheld(reader, figures),
            (*rests_on(figures.rests_on), *_drawing(figures)),
            table=_window(figures),
        ),
        daily(reader, figures),
        PlanPart(say("How"), _steps(reader, figures), steps=True),
        PlanPart(say("What to expect"), _expected(figures)),
        PlanPart(say("Keep what is not needed at once"), _holding(reader, figures)),
        PlanPart(say("Take care"), _care(figures)),
    )
    return PlanCard(say("Hatch in a cone"), parts_with_words(parts))


def _warnings(reader: PlanReader, figures: ConeFigures) -> list[str]:
    hot = [_of_warmth(reader)] if figures.water_c > _NOT_KNOWN_ABOVE_C else []
    air = [] if figures.air_enough else [of_air(figures.most_cysts_g)]
    salt = figures.salt_g_per_kg, figures.good_salt_g_per_kg
    tin = [*of_tin(figures.unknown_tin), *of_alarmed(figures.alarmed_tin)]
    return [*tin, *of_salt(*salt), *of_much_salt(*salt), *air, *hot]


def _of_warmth(reader: PlanReader) -> str:
    return say(
        "Above {known} sources part on how fast cysts hatch: the hours are wide.",
        known=held(reader, _NOT_KNOWN_ABOVE_C),
    )


def _ifheld(reader: PlanReader, figures: ConeFigures) -> str:
    return say(
        "Hours after setting, in water held at {water}",
        water=held(reader, figures.water_c),
    )


def _window(figures: ConeFigures) -> PlanTable:
    rows = (
        (say("half have hatched"), figures.half_h),
        (say("the harvest opens: nine in ten have hatched"), figures.opens_h),
        (say("it closes: half of them begin to feed"), figures.closes_h),
    )
    return PlanTable(
        (say("When"), say("most likely"), say("eight times in ten")),
        tuple((what, _hours(hours.p50), _hours_between(hours)) for what, hours in rows),
    )


def _hours(hours: float) -> str:
    return say("{hours} h", hours=amounts.number(hours))


def _hours_between(hours: Range) -> str:
    return say("{low} to {high} h", low=amounts.number(hours.p10), high=amounts.number(hours.p90))


def _drawing(figures: ConeFigures) -> tuple[str, ...]:
    two = figures.two
    if two is None:
        return (say("Draw it off once, while the harvest is open."),)
    first = {"first": _hours(two.first_h.p50), "range": _hours_between(two.first_h)}
    if two.advised:
        twice = say(
            "Draw it off twice: these hatch over so many hours that the first feed before the last are out."
        )
        when = say(
            "First most likely after {first} ({range}), when about {share} are out; again when it opens.",
            share=amounts.percent(two.first_out.p50),
            **first,
        )
        return (twice, when)
    return (
        say("Draw it off once, while the harvest is open."),
        _now_and_then(max(1, round(10 * two.chance)), own=figures.rests_on.hatches > 0),
        say("Then draw off twice, first after about {first} ({range}).", **first),
    )


def _now_and_then(in_ten: int, *, own: bool) -> str:
    if own:
        return say(
            "With a chance of {count} in ten this tin hatches so slowly that the first feed before the last "
            "are out.",
            count=in_ten,
        )
    return say_many(
        "About {count} tin in ten hatches so slowly that the first feed before the last are out.",
        "About {count} tins in ten hatch so slowly that the first feed before the last are out.",
        in_ten,
    )


def _steps(reader: PlanReader, figures: ConeFigures) -> tuple[str, ...]:
    return (
        say(
            "Fill in {volume} of brine as the dose card says. Turn the air on and wait until it has {water}.",
            volume=amounts.litres(figures.volume_ml),
            water=held(reader, figures.water_c),
        ),
        say(
            "Stir {cysts} of cysts in, and leave a bright LED on for the first hours.",
            cysts=amounts.grams(figures.cysts_g),
        ),
        say(
            "Look from hour {hour} on. Few swim yet? Look again two hours later.",
            hour=amounts.number(figures.opens_h.p10),
        ),
        *([say("Unplug the heater with dry hands, and wait until it is cool.")] if figures.heated else []),
        say("Turn the air off and wait ten minutes: empty shells float, unhatched cysts sink."),
        say("Let the first dark spoonful out; it is cysts. Hold a torch low and draw the animals off there."),
        say("Write down the hour at which most swam: the next hatch of this tin takes as long."),
    )


def _expected(figures: ConeFigures) -> tuple[str, ...]:
    lines = [
        say(
            "About {animals} animals hatch, nine in ten of them by the opening.",
            animals=_range(figures.animals),
        )
    ]
    if not figures.tested:
        lines.append(say("Tins differ that much: test some cysts of yours first."))
    return tuple(lines)


def _range(believed: Range) -> str:
    low, likely, high = (amounts.roughly(value) for value in (believed.p10, believed.p50, believed.p90))
    return say("{likely} ({low} to {high})", likely=likely, low=low, high=high)


def _holding(reader: PlanReader, figures: ConeFigures) -> tuple[str, ...]:
    cold = figures.colder
    litres = [
        amounts.litres(float(f"{1000.0 * value:.2g}")) for value in (figures.hold_l.p50, figures.hold_l.p90)
    ]
    return (
        say(
            "Under {cold} with a little air they keep {hours} hours, at most {many} million a litre (Ghent "
            "University course notes).",
            cold=amounts.temperature(figures.hold_below_c, reader.temperature_unit, 0),
            hours=amounts.number(figures.hold_h),
            many=amounts.number(figures.hold_per_l / _MILLION),
        ),
        say(
            "At {low} to {high} over {share} of one strain were alive after {hours} hours.",
            low=amounts.number(amounts.in_unit(cold.low_c, reader.temperature_unit)),
            high=amounts.temperature(cold.high_c, reader.temperature_unit, 0),
            share=amounts.percent(cold.alive),
            hours=amounts.number(cold.hours),
        ),
        say(
            "All of these take {likely}; {most} is enough nine times in ten.",
            likely=litres[0],
            most=litres[1],
        ),
    )


def _care(figures: ConeFigures) -> tuple[str, ...]:
    heater = (say(HEATERS),) if figures.heated else ()
    return (
        say(
            "The air pump stands above the water or has a check valve. Its cable hangs in a loop below the "
            "plug."
        ),
        *heater,
        say(MAINS),
        say(NO_HOT_LAMP),
        say(HYGIENE),
        say(OPEN_THE_TIN),
    )
