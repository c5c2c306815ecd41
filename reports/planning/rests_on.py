"""What a plan's hours rest on: what the station learned of this tin, or what is published of its strain."""

from dataclasses import dataclass

from reports import amounts
from reports.language import say, say_many, to_say
from reports.words import clean

STRAIN_CHOSEN, NO_RECORDS, SHARE_ONLY = "strain-chosen", "no-records", "share-only"
STRAINS = {
    "san-francisco-bay": to_say("San Francisco Bay"),
    "great-salt-lake": to_say("Great Salt Lake"),
    "pozos-colorados": to_say("Pozos Colorados"),
    "sinica": to_say("Yanchi Lake (sinica)"),
}
_LEFT_OUT = {
    STRAIN_CHOSEN: to_say("As a strain is chosen, what was learned of {tin} is left out."),
    SHARE_ONLY: to_say(
        "{tin} was tested for its share only: of its hours nothing is known that is surer than of any tin."
    ),
    NO_RECORDS: to_say("What was learned of {tin} is left out: no records were named."),
}


@dataclass(frozen=True, slots=True)
class RestsOn:
    """On so many `hatches` of the `tin` (empty where none is known), and where there were none on a `strain`.

    `late_h` is how much later than most likely one time in ten is. `left_out` is a word of `_LEFT_OUT`, or a
    line that says why the station could not be asked; empty where it was, or knows no such tin.
    """

    strain: str
    late_h: float
    salt_g_per_kg: tuple[float, float]
    tin: str = ""
    hatches: int = 0
    left_out: str = ""


def rests_on(one: RestsOn) -> tuple[str, ...]:
    """A line or two, in the language spoken now."""
    least, most = (amounts.number(end) for end in one.salt_g_per_kg)
    salt = say("It holds for {least} to {most} g of salt in a kg of brine.", least=least, most=most)
    return (f"{_of_tin(one) if one.hatches else _of_strain(one)} {salt}", *_not_of_tin(one))


def _of_tin(one: RestsOn) -> str:
    return say_many(
        "This rests on {count} hatch of {tin} that was watched or tested.",
        "This rests on {count} hatches of {tin} that were watched or tested.",
        one.hatches,
        tin=clean(one.tin),
    )


def _of_strain(one: RestsOn) -> str:
    hours = amounts.number(one.late_h)
    if one.strain == "unknown":
        return say(
            "This holds for tins at large: one in ten opens {hours} h later than most likely, or more.",
            hours=hours,
        )
    return say(
        "This rests on what is published of {strain}: one tin in ten opens {hours} h later than most "
        "likely, or more.",
        strain=say(STRAINS[one.strain]),
        hours=hours,
    )


def _not_of_tin(one: RestsOn) -> tuple[str, ...]:
    if not one.tin or one.hatches:
        return ()
    tin = clean(one.tin)
    if not one.left_out:
        line = say("No hatch of {tin} was watched or tested yet; the first makes the hours surer.", tin=tin)
    elif one.left_out in _LEFT_OUT:
        line = say(_LEFT_OUT[one.left_out], tin=tin)
    else:
        line = say("What was learned of {tin} is left out. {why}", tin=tin, why=clean(one.left_out))
    return (line,)
