"""The part of a cone's card about a harvest every day."""

from datetime import datetime

from reports import amounts, times
from reports.language import say, say_many
from reports.planning.card import PlanPart, PlanReader, PlanTable
from reports.planning.cone_figures import ConeDay, ConeFigures, ConeRhythm, WouldDo
from reports.records import Range

DAYS_OF_A_WEEK = 7


def daily(reader: PlanReader, figures: ConeFigures) -> PlanPart:
    """Of a week by a station's hours, or a rhythm; without words where nobody asked."""
    if figures.rhythm is not None:
        week = _of_cysts(DAYS_OF_A_WEEK, figures.cysts_g)
        return PlanPart(_every_day(figures.rhythm.at), (_rhythm(figures.rhythm), week, _anew(figures)))
    if figures.daily_at is None:
        return PlanPart("")
    heading = _every_day(figures.daily_at)
    if not figures.days:
        return PlanPart(heading, (say("Nobody is there at hours that would do. Try another hour."),))
    which = (say("Cone"),) if figures.cones > 1 else ()
    heads = (say("Harvest at"), say("Set it"), *which, say("Hatched by then"))
    cones = say_many("It takes {count} cone.", "It takes {count} cones in turn.", figures.cones)
    rows = tuple(_day(one, which=bool(which)) for one in figures.days)
    harvests = sum(one.set_at is not None for one in figures.days)
    lines = (cones, _of_cysts(harvests, figures.cysts_g), *_instead(reader, figures.instead), _anew(figures))
    return PlanPart(heading, lines, table=PlanTable(heads, rows))


def _of_cysts(harvests: int, each_g: float) -> str:
    return say_many(
        "{count} harvest takes {together} of cysts.",
        "{count} harvests take {together} of cysts.",
        harvests,
        together=amounts.grams(harvests * each_g),
    )


def _anew(figures: ConeFigures) -> str:
    return say(
        "After a harvest rinse the cone, and fill in {volume} of brine as the dose card says. An hour is "
        "reckoned for that.",
        volume=amounts.litres(figures.volume_ml),
    )


def held(reader: PlanReader, water_c: float) -> str:
    """The warmth of water that is held, in the unit of who reads."""
    whole = amounts.in_unit(water_c, reader.temperature_unit) % 1.0 == 0.0
    return amounts.temperature(water_c, reader.temperature_unit, 0 if whole else 1)


def _instead(reader: PlanReader, would_do: WouldDo | None) -> list[str]:
    if would_do is None:
        return []
    at, water_c = would_do.at, would_do.water_c
    if at is not None and water_c is not None:
        water = held(reader, water_c)
        return [
            say("Open by then: at {clock}, or in water held at {water}.", clock=times.clock(at), water=water)
        ]
    if at is not None:
        return [say("Open by then: at {clock}.", clock=times.clock(at))]
    if water_c is not None:
        return [say("Open by then: in water held at {water}.", water=held(reader, water_c))]
    return [say("No other hour would do, nor warmer water.")]


def _every_day(at: object) -> str:
    return say("A harvest every day at {clock}", clock=times.clock(at))  # type: ignore[arg-type]


def _rhythm(rhythm: ConeRhythm) -> str:
    told = {"clock": times.clock(rhythm.set_clock), "hours": _hours_half(rhythm.after_h)}
    match rhythm.days_before:
        case 0:
            when = say("Set a cone every day at {clock} for the same day: {hours} before.", **told)
        case 1:
            when = say("Set a cone every day at {clock} for the next day: {hours} before.", **told)
        case days:
            when = say(
                "Set a cone every day at {clock}, {days} days ahead: {hours} before.", days=days, **told
            )
    cones = say_many("It takes {count} cone.", "It takes {count} cones in turn.", rhythm.cones)
    out = say("By the harvest about {share} have hatched.", share=_shares(rhythm.out))
    return f"{when} {cones} {out}"


def _hours_half(hours: float) -> str:
    return say("{hours} h", hours=amounts.three_figures(hours))


def _day(one: ConeDay, *, which: bool) -> tuple[str, ...]:
    harvest = _moment(one.at)
    if one.set_at is None or one.out is None:
        why = say("nobody is there in time to set it") if one.attended else say("nobody is there")
        return harvest, why, *(("–",) if which else ()), "–"
    cone = (amounts.number(one.cone),) if which else ()
    shares = _shares(one.out)
    by_then = shares if one.is_open else say("{shares}: not open yet", shares=shares)
    return harvest, _moment(one.set_at), *cone, by_then


def _moment(at: datetime) -> str:
    """ "Fri 15 Jan 14:30": a week begins on any day."""
    return f"{times.short_day(at)} {times.clock(at)}"


def _shares(out: Range) -> str:
    low, high = amounts.number(100 * out.p10), amounts.percent(out.p90)
    return say("{likely} ({low} to {high})", likely=amounts.percent(out.p50), low=low, high=high)
