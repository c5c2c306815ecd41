"""What the next class is told with its station file: what was learned, proposals, and what was not copied."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import ceil, floor

from reports import amounts, words
from reports.batch.records import ColdNights
from reports.language import in_its_language, say
from reports.letters.sentences import KNOWN_ABOVE_C
from reports.records import Range

_DAY_H = 24.0
# Published hatching times begin at 18 °C: below it nobody knows how late a hatch will be.
_HATCHES_FROM_C = 18.0


@dataclass(frozen=True, slots=True)
class KnownVessel:
    """What was learned of a vessel: what evaporates a day (mL of one cup), its nights. `may_heat`: a cone
    without a heater."""

    vessel: str
    count: int
    low_ml: float
    cold_c: float
    a_day_ml: Range | None
    nights: ColdNights | None
    may_heat: bool


@dataclass(frozen=True, slots=True)
class KnownTin:
    """What was learned of a tin's cysts, by the name of each unknown."""

    tin: str
    knowns: Mapping[str, Range]


@dataclass(frozen=True, slots=True)
class NextClass:
    """All that is told. `away_h` is how long nobody is there over a weekend (None: somebody always is).

    `over` and `to_come` are days away as the file writes them, `unnamed` tins that it does not know.
    """

    language: str
    unit: str
    away_h: float | None
    over: tuple[str, ...]
    to_come: tuple[str, ...]
    vessels: tuple[KnownVessel, ...]
    tins: tuple[KnownTin, ...]
    unnamed: tuple[str, ...]


@in_its_language
def next_class_lines(told: NextClass) -> tuple[str, ...]:
    """A line each; no value of the file was changed for any of them."""
    return (
        say("Copied for the next class. No value was changed; what follows are proposals."),
        *_days(told),
        *(line for vessel in told.vessels for line in _vessel(told, vessel)),
        *(line for tin in told.tins for line in _tin(told, tin)),
        *_not_copied(told),
    )


def _days(told: NextClass) -> Iterator[str]:
    if told.over:
        yield say("Days away that are over were left out: {days}.", days=", ".join(told.over))
    if told.to_come:
        yield say("Days away to come: {days}.", days=", ".join(told.to_come))
    else:
        yield say("No days away to come are in the file: write the next holidays into away.")


def _vessel(told: NextClass, one: KnownVessel) -> Iterator[str]:
    name = words.vessel_name(one.vessel, one.count)
    if one.a_day_ml is not None and one.a_day_ml.p90 > 0.0:
        yield from _water(told, one, one.a_day_ml, name)
    if one.nights is not None:
        yield from _nights(told, one, one.nights, name)


def _water(told: NextClass, one: KnownVessel, a_day_ml: Range, name: str) -> Iterator[str]:
    a_day = amounts.loss_range(a_day_ml)
    yield say("{vessel}: evaporates {a_day}.", vessel=name, a_day=a_day)
    days = one.low_ml / a_day_ml.p90
    yield say(
        "{vessel}: filled to the mark, it keeps above its low mark for about {days} days, at the fastest.",
        vessel=name,
        days=amounts.number(floor(days)),
    )
    if told.away_h is None:
        return
    gone_ml = a_day_ml.p90 * told.away_h / _DAY_H
    if gone_ml > one.low_ml:
        proposed = f"{ceil(gone_ml / 5.0) * 5}"
        yield say(
            "{vessel}: over a weekend up to {gone} go, more than low_ml = {low}. Cover it or fill it up.",
            vessel=name,
            gone=amounts.volume(gone_ml),
            low=f"{one.low_ml:g}",
        )
        yield say(
            "{vessel}: where the animals can bear it, low_ml = {proposed} brings no letter for a weekend.",
            vessel=name,
            proposed=proposed,
        )


def _nights(told: NextClass, one: KnownVessel, nights: ColdNights, name: str) -> Iterator[str]:
    middle, coldest = (
        amounts.temperature(water_c, told.unit) for water_c in (nights.middle_c, nights.coldest_c)
    )
    yield say(
        "{vessel}: nights were mostly {middle}, once {coldest}.", vessel=name, middle=middle, coldest=coldest
    )
    lowest_c = min(nights.coldest_c, nights.lowest_c)
    if lowest_c < nights.coldest_c:
        lowest = amounts.temperature(lowest_c, told.unit)
        yield say("{vessel}: at another hour it was once {lowest}.", vessel=name, lowest=lowest)
    if lowest_c >= one.cold_c:
        return
    limit_c = floor(2.0 * lowest_c) / 2.0
    if limit_c >= KNOWN_ABOVE_C:
        yield say(
            "{vessel}: with cold_c = {limit} none of that brings a letter, if that is warm enough.",
            vessel=name,
            limit=f"{limit_c:g}",
        )
    if nights.middle_c < _HATCHES_FROM_C:
        yield say(
            "{vessel}: choose a warmer place, or a warmer season: so cold, hatches come late.", vessel=name
        )
        if one.may_heat:
            yield say(
                "{vessel}: an aquarium heater with a thermostat holds a cone warm, if your rules allow one.",
                vessel=name,
            )


def _tin(told: NextClass, one: KnownTin) -> Iterator[str]:
    tin = words.clean(one.tin)
    half, share = one.knowns.get("t50_h_at_25_c"), one.knowns.get("hatchable_share")
    if half is not None:
        yield say(
            "Tin {tin}: half hatched after {hours} in water of {warm}.",
            tin=tin,
            hours=amounts.hours_range(half),
            warm=amounts.temperature(25.0, told.unit, 0),
        )
    if share is not None:
        yield say("Tin {tin}: can hatch: {share} of its cysts.", tin=tin, share=amounts.percent_range(share))


def _not_copied(told: NextClass) -> Iterator[str]:
    if told.unnamed:
        names = words.joined([words.clean(one) for one in told.unnamed])
        yield say("Tins of the care log that the file does not name: {names}. Write them in.", names=names)
    yield say("Copied with it: addresses of probes and their corrections, which are of this machine alone.")
    yield say("Not copied: passwords, the page's PIN and secret addresses. They stay where they are.")
    yield say("What was learned is in the station's records: the next class on this machine goes on with it.")
