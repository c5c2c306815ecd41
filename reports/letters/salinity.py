"""The second letter about water: too much salt in it, or too little."""

from collections.abc import Sequence
from dataclasses import dataclass

from reports import amounts
from reports.dilution import LEAST_ML, STRONG_SALT_G_PER_L, Exchange, with_plain_water, with_strong_brine
from reports.language import in_its_language, say, to_say
from reports.letters import record
from reports.letters.blocks import Block, Body, Caution, Facts, Paragraph
from reports.letters.heaters import pouring_care, unplugged_for
from reports.letters.known import Fact, Known, fact, fact_lines, known, listed
from reports.letters.page import letter, subject
from reports.letters.pouring import into_all
from reports.letters.sentences import (
    ASK_ABOUT_CUPS,
    NO_RELEASE,
    WASH,
    action,
    ending,
    in_each,
    name,
    names,
    nobody_must_come,
    place,
)
from reports.letters.stages import hatches
from reports.records import LetterText, Range, Setting

_MEASURE = to_say("measure the salt first, if you can.")
_SALTY = to_say("The water in {names} is too salty: {salt} of salt in a kg.")
_SALTIEST = to_say("The water in {names} is too salty: the most salty has about {salt} of salt in a kg.")
_FRESH = to_say("The water in {names} is not salty enough: {salt} of salt in a kg.")
_FRESHEST = to_say(
    "The water in {names} is not salty enough: the least salty has about {salt} of salt in a kg."
)
# Animals gather where it is bright.
_TAKE_OUT = to_say("take {out} out of {where} on its dark side. Keep it aside: it may hold eggs or animals.")
_TAKE_OUT_LISTED = to_say(
    "take water out on the dark side, as listed. Keep it aside: it may hold eggs or animals."
)
_UP_TO_THE_MARK = to_say("pour plain water, not salt water, slowly up to the mark.")
_IN_LISTED = to_say("pour the brine in, slowly, as listed.")
# 5 to 35 g/kg is good for hatching (New 2002, FAO Fisheries Technical Paper 428), from 35 on for swimmers
# (Vanhaecke, Siddall & Sorgeloos 1984).
_STILL_HATCH = to_say("Eggs (cysts) still hatch in 5 to 35 g; swimmers like it saltier.")


@dataclass(frozen=True, slots=True)
class SalinityTrouble:
    """Salt out of range; `fill_ml` is plain water up to the mark (negative where it stands above).

    `mark_ml` is what the vessel holds at the mark; None where it is not known. `stage` is one of
    `reports.letters.stages`; `has_heater`: a heater holds its water.
    """

    vessel: str
    count: int
    salinity_g_per_kg: Range
    low_g_per_kg: float
    high_g_per_kg: float
    loss_ml: Range
    fill_ml: float
    stage: str
    mark_ml: float | None = None
    has_heater: bool = False


@in_its_language
def salinity_letter(setting: Setting, troubles: Sequence[SalinityTrouble]) -> LetterText:
    """Water too salty or not salty enough; `troubles` holds at least one, all to the same side."""
    salty = _too_salty(troubles[0])
    first = (max if salty else min)(troubles, key=lambda trouble: trouble.salinity_g_per_kg.p50)
    value = say("{value} g in a kg", value=amounts.number(first.salinity_g_per_kg.p50))
    poured = [trouble for trouble in troubles if salty or _exchange(trouble) is not None]
    advice = _then(say(_MEASURE), _pour_plain(troubles) if salty else _pour_brine(troubles))
    body = Body(
        action=action(setting, unplugged_for(advice, poured)),
        care=[*pouring_care(poured), Caution(say(WASH)), Caution(say(NO_RELEASE))],
        record=record.of_each([_care_lines(trouble) for trouble in poured]),
        besides=nobody_must_come(setting, ASK_ABOUT_CUPS),
        known=_known(troubles),
        spare=[Paragraph(one) for one in _means(troubles, salty)],
        ending=ending(setting),
    )
    short = say("Too salty: {value}", value=value) if salty else say("Not salty enough: {value}", value=value)
    subject_line = subject(short, place(troubles), setting.station)
    return letter("water", subject_line, _lead(troubles, first, salty=salty), body, setting)


def _lead(troubles: Sequence[SalinityTrouble], first: SalinityTrouble, *, salty: bool) -> str:
    if _is_alike(troubles):
        salt = amounts.salinity_range(first.salinity_g_per_kg)
        return say(_SALTY if salty else _FRESH, names=names(troubles), salt=salt)
    salt = say("{value} g", value=amounts.number(first.salinity_g_per_kg.p50))
    return say(_SALTIEST if salty else _FRESHEST, names=names(troubles), salt=salt)


def _too_salty(trouble: SalinityTrouble) -> bool:
    believed = trouble.salinity_g_per_kg.p50
    return believed - trouble.high_g_per_kg > trouble.low_g_per_kg - believed


def _exchange(trouble: SalinityTrouble) -> Exchange | None:
    return with_plain_water(trouble) if _too_salty(trouble) else with_strong_brine(trouble)


def _is_alike(troubles: Sequence[SalinityTrouble]) -> bool:
    """Whether one thing is true of all: then lead and action say it, else a table does."""
    return len({(one.salinity_g_per_kg, one.count > 1, _row(one), _facts(one)) for one in troubles}) == 1


def _known(troubles: Sequence[SalinityTrouble]) -> list[Block]:
    if _is_alike(troubles):
        return [Facts(listed([one.vessel for one in troubles]), fact_lines(_facts(troubles[0])))]
    return known([Known(name(one), (*_row(one), *_facts(one))) for one in troubles], say("Vessel"))


def _row(trouble: SalinityTrouble) -> tuple[Fact, ...]:
    """What to take out and pour in, and the salt, of one vessel beside others."""
    exchange, salt = _exchange(trouble), trouble.salinity_g_per_kg
    value = say("{value} g", value=amounts.number(salt.p50, 1))
    facts = [Fact(amounts.salt_in(), amounts.salinity_range(salt), value)]
    if exchange is None:
        return tuple(facts)
    if exchange.out_ml > 0.0:
        facts.append(fact(say("Take out"), _a_cup(exchange.out_ml, trouble)))
    poured = _a_cup(exchange.in_ml, trouble)
    plain = _too_salty(trouble)
    facts.append(fact(say("Pour plain water") if plain else say("Pour strong brine"), poured))
    return tuple(facts)


def _a_cup(amount_ml: float, trouble: SalinityTrouble) -> str:
    amount = amounts.volume(amount_ml)
    return say("{amount} a cup", amount=amount) if trouble.count > 1 else amount


def _facts(trouble: SalinityTrouble) -> tuple[Fact, ...]:
    low, high = amounts.number(trouble.low_g_per_kg), amounts.number(trouble.high_g_per_kg)
    limits = say("{low} to {high} g", low=low, high=high)
    exchange, should_be = _exchange(trouble), fact(say("Should be"), limits)
    if exchange is None:
        return should_be, fact(say("Water"), amounts.level(trouble.loss_ml.p50))
    after = say("about {value} g", value=amounts.number(exchange.ends_g_per_kg))
    return should_be, *(() if exchange.out_ml > 0.0 else (Fact(say("After that"), after),))


def _care_lines(trouble: SalinityTrouble) -> list[str]:
    """The lines for the care log, ready to copy."""
    exchange = _exchange(trouble)
    if exchange is None:
        return []
    if _too_salty(trouble):
        to_mark = ("--detail", "to=mark") if exchange.to_mark else ()
        last = record.line(trouble.vessel, "top-up", _amount(exchange.in_ml), *to_mark)
    else:
        last = record.brine(trouble.vessel, exchange.in_ml, STRONG_SALT_G_PER_L)
    taken = [record.line(trouble.vessel, "remove", _amount(exchange.out_ml))] if exchange.out_ml > 0.0 else []
    return [*taken, last]


def _amount(amount_ml: float) -> str:
    if amount_ml < 10.0:
        return amounts.plain_number(amount_ml, 1).removesuffix(".0")
    return amounts.plain_number(amount_ml)


def _pour_plain(troubles: Sequence[SalinityTrouble]) -> str:
    exchanges = [_exchange(trouble) for trouble in troubles]
    first = exchanges[0]
    if first is not None and _is_alike(troubles):
        return _plain_alike(first, troubles)
    if any(exchange and not exchange.to_mark for exchange in exchanges):
        return say("pour plain water, not salt water, slowly, as listed and no more.")
    if any(exchange and exchange.out_ml > 0.0 for exchange in exchanges):
        return _then(say(_TAKE_OUT_LISTED), say(_UP_TO_THE_MARK))
    if any(trouble.fill_ml >= LEAST_ML for trouble in troubles):
        return say("pour plain water, not salt water, up to the mark, as listed. Stop at the mark.")
    share = say("about {share}", share=amounts.percent(_share_out(troubles)))
    return _then(say(_TAKE_OUT, out=share, where=in_each(troubles)), say(_UP_TO_THE_MARK))


def _then(before: str, after: str) -> str:
    return say("{before} Then {after}", before=before, after=after)


def _plain_alike(exchange: Exchange, troubles: Sequence[SalinityTrouble]) -> str:
    """What is true of all of these: what to take out and what to pour in."""
    if exchange.out_ml > 0.0:
        return _then(_take_out(exchange, troubles), say(_UP_TO_THE_MARK))
    pour = into_all(exchange.in_ml, troubles)
    if exchange.to_mark:
        return say("{pour} Stop there: that is {amount}.", pour=say(_UP_TO_THE_MARK), amount=pour)
    return say("pour plain water, not salt water, slowly. Pour no more than {amount}.", amount=pour)


def _take_out(exchange: Exchange, troubles: Sequence[SalinityTrouble]) -> str:
    return say(_TAKE_OUT, out=amounts.volume(exchange.out_ml), where=in_each(troubles))


def _share_out(troubles: Sequence[SalinityTrouble]) -> float:
    """The share of brine to replace for the middle of the range; where each vessel's volume is not known."""
    saltiest = max(troubles, key=lambda trouble: trouble.salinity_g_per_kg.p50)
    wanted = (saltiest.low_g_per_kg + saltiest.high_g_per_kg) / 2.0
    believed = saltiest.salinity_g_per_kg.p50
    return min(max(1.0 - wanted / believed, 0.05), 0.95) if believed > 0.0 else 0.05


def _pour_brine(troubles: Sequence[SalinityTrouble]) -> str:
    exchanges = [(trouble, exchange) for trouble in troubles if (exchange := _exchange(trouble))]
    if not exchanges:
        return say(
            "look in the care log whether each top-up and brine was written down right. Correct what was not."
        )
    total_ml = sum(trouble.count * exchange.in_ml for trouble, exchange in exchanges)
    salt_g = total_ml * STRONG_SALT_G_PER_L / 1000.0
    mix = say(
        "stir {salt} g of your salt into {amount} of plain water, as strong brine.",
        salt=amounts.number(salt_g, 0 if salt_g >= 10.0 else 1),
        amount=amounts.volume(total_ml),
    )
    if not _is_alike(troubles):
        taken = any(exchange.out_ml > 0.0 for _, exchange in exchanges)
        return _then(mix, _then(say(_TAKE_OUT_LISTED), say(_IN_LISTED)) if taken else say(_IN_LISTED))
    exchange = exchanges[0][1]
    amount = amounts.volume(exchange.in_ml)
    several = len(troubles) > 1 or troubles[0].count > 1
    pour = (
        say("slowly pour {amount} of the brine into each.", amount=amount)
        if several
        else say("slowly pour {amount} of the brine in.", amount=amount)
    )
    return _then(mix, _then(_take_out(exchange, troubles), pour) if exchange.out_ml > 0.0 else pour)


def _means(troubles: Sequence[SalinityTrouble], salty: bool) -> list[str]:
    if not salty:
        thin = say("Perhaps the brine was mixed thin, or more plain water went in than had left.")
        return [*([say(_STILL_HATCH)] if hatches(troubles) else []), thin]
    if all(trouble.fill_ml >= LEAST_ML for trouble in troubles):
        dried = say("Water leaves, salt stays: eggs (cysts) hatch later.")
        return [dried if hatches(troubles) else say("Water leaves, salt stays.")]
    later = [say("In saltier water eggs (cysts) hatch later.")] if hatches(troubles) else []
    return [say("Perhaps salt water was poured in for plain water."), *later]
