"""The second letter about water: too much salt in it, or too little."""

from collections.abc import Sequence
from dataclasses import dataclass

from reports import amounts, words
from reports.dilution import LEAST_ML, STRONG_SALT_G_PER_L, Exchange, with_plain_water, with_strong_brine
from reports.language import in_its_language, say, to_say
from reports.letters.heaters import pouring_care, unplugged_for
from reports.letters.page import Block, Caution, Facts, Heading, Paragraph, letter, subject
from reports.letters.sentences import (
    ASK_ABOUT_CUPS,
    HYGIENE,
    action,
    in_each,
    name,
    names,
    next_letter,
    nobody_must_come,
    place,
    poured_into_each,
)
from reports.letters.stages import hatches
from reports.records import LetterText, Range, Setting

_MEASURE = to_say(
    "These figures are calculated from what was told, not measured. If you have a hydrometer or a "
    "refractometer, measure the salt first, and tell the care log: then it is known."
)
_POUR_PLAIN = to_say("Pour {amount} of plain water into {where}.")
_POUR_BRINE = to_say("Pour {amount} of strong brine into {where}.")
_SWAP_PLAIN = to_say("Take {out} out of {where}, then pour {amount} of plain water in.")
_SWAP_BRINE = to_say("Take {out} out of {where}, then pour {amount} of strong brine in.")
_SALTY = to_say("The water in {names} is most likely too salty: about {value}.")
_SALTIEST = to_say("The water in {names} is most likely too salty: the most salty has about {value}.")
_FRESH = to_say("The water in {names} is most likely not salty enough: about {value}.")
_FRESHEST = to_say("The water in {names} is most likely not salty enough: the least salty has about {value}.")
# 5 to 35 g/kg is good for hatching (New 2002, FAO Fisheries Technical Paper 428), from 35 on for swimmers
# (Vanhaecke, Siddall & Sorgeloos 1984).
_KEEP = to_say(
    "Take the water out on the dark side, for animals gather where it is bright. Keep it in "
    "a jar: it may hold eggs or animals."
)


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
    value = f"{amounts.number(first.salinity_g_per_kg.p50)} g/kg"
    pour = _pour_plain(troubles) if salty else _pour_brine(troubles)
    poured = [trouble for trouble in troubles if salty or _exchange(trouble) is not None]
    blocks: list[Block] = [
        Heading(say("What is known")),
        *(Facts(name(trouble), _facts(trouble)) for trouble in troubles),
        Paragraph(say(_MEASURE)),
        Heading(say("What it means")),
        Paragraph(_means(troubles, salty)),
        action(setting, unplugged_for(pour, poured)),
        *([Paragraph(say(_KEEP))] if any(_taken_out(trouble) for trouble in troubles) else []),
        *nobody_must_come(setting, ASK_ABOUT_CUPS),
        *pouring_care(poured),
        Caution(say(HYGIENE)),
        next_letter(setting),
    ]
    one, several = (_SALTY, _SALTIEST) if salty else (_FRESH, _FRESHEST)
    lead = say(one if len(troubles) == 1 else several, names=names(troubles), value=value)
    short = say("Too salty: {value}", value=value) if salty else say("Too little salt: {value}", value=value)
    subject_line = subject(short, place(troubles), setting.station)
    return letter("water", subject_line, lead, blocks, setting)


def _too_salty(trouble: SalinityTrouble) -> bool:
    believed = trouble.salinity_g_per_kg.p50
    return believed - trouble.high_g_per_kg > trouble.low_g_per_kg - believed


def _exchange(trouble: SalinityTrouble) -> Exchange | None:
    return with_plain_water(trouble) if _too_salty(trouble) else with_strong_brine(trouble)


def _taken_out(trouble: SalinityTrouble) -> bool:
    exchange = _exchange(trouble)
    return exchange is not None and exchange.out_ml > 0.0


def _facts(trouble: SalinityTrouble) -> tuple[str, ...]:
    low, high = amounts.number(trouble.low_g_per_kg), amounts.number(trouble.high_g_per_kg)
    lines = [
        say(
            "Salt: {salt} (grams in a kilogram of brine).",
            salt=amounts.salinity_range(trouble.salinity_g_per_kg),
        ),
        say("It should be {low} to {high} g/kg.", low=low, high=high),
        amounts.water_stands(trouble.loss_ml, trouble.count),
    ]
    exchange = _exchange(trouble)
    if exchange is not None:
        after = say("After that: about {value} g/kg.", value=amounts.number(exchange.ends_g_per_kg))
        lines.append(f"{_steps(trouble, exchange)} {after}")
        lines += [say("Tell it: {command}", command=line) for line in _care_lines(trouble, exchange)]
    return tuple(lines)


def _steps(trouble: SalinityTrouble, exchange: Exchange) -> str:
    plain, poured = _too_salty(trouble), amounts.volume_with_spoons(exchange.in_ml)
    if exchange.out_ml <= 0.0:
        return say(_POUR_PLAIN if plain else _POUR_BRINE, amount=poured, where=words.into_each(trouble.count))
    out, where = amounts.volume_with_spoons(exchange.out_ml), words.in_each(trouble.count)
    return say(_SWAP_PLAIN if plain else _SWAP_BRINE, out=out, where=where, amount=poured)


def _care_lines(trouble: SalinityTrouble, exchange: Exchange) -> list[str]:
    """The lines for the care log, ready to copy."""
    add = f"naupliad care add {words.clean(trouble.vessel)}"
    poured = _amount(exchange.in_ml)
    last = f"{add} top-up {poured}{' --detail to=mark' if exchange.to_mark else ''}"
    if not _too_salty(trouble):
        last = f"{add} brine {poured} --detail salt_g_per_l={amounts.plain_number(STRONG_SALT_G_PER_L)}"
    return [f"{add} remove {_amount(exchange.out_ml)}", last] if exchange.out_ml > 0.0 else [last]


def _amount(amount_ml: float) -> str:
    if amount_ml < 10.0:
        return amounts.plain_number(amount_ml, 1).removesuffix(".0")
    return amounts.plain_number(amount_ml)


def _pour_plain(troubles: Sequence[SalinityTrouble]) -> str:
    if any(exchange and not exchange.to_mark for exchange in map(_exchange, troubles)):
        return say(
            "pour plain water, not salt water, slowly, as listed above and no more. Then tell the care log."
        )
    if any(_taken_out(trouble) for trouble in troubles):
        return say(
            "take some water out and pour plain water, not salt water, up to the mark, slowly, as "
            "listed above. Then tell the care log."
        )
    if any(trouble.fill_ml >= LEAST_ML for trouble in troubles):
        pour = words.joined(
            [poured_into_each(one.fill_ml, one) for one in troubles if one.fill_ml >= LEAST_ML]
        )
        return say(
            "pour plain water, not salt water, up to the mark: {pour}. Stop at the mark. Then tell "
            "the care log.",
            pour=pour,
        )
    return say(
        "take about {share} of the water out of {where}, and pour plain water, not salt water, "
        "up to the mark. Then tell the care log.",
        share=amounts.percent(_share_out(troubles)),
        where=in_each(troubles),
    )


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
            "look in the care log whether each top-up and each brine was told right, and correct "
            "what was not."
        )
    total_ml = sum(trouble.count * exchange.in_ml for trouble, exchange in exchanges)
    salt_g = total_ml * STRONG_SALT_G_PER_L / 1000.0
    return say(
        "stir {salt} g of your salt into {amount} of plain water, and with this strong brine "
        "do as listed above, slowly. Then tell the care log.",
        salt=amounts.number(salt_g, 0 if salt_g >= 10.0 else 1),
        amount=amounts.volume(total_ml),
    )


def _means(troubles: Sequence[SalinityTrouble], salty: bool) -> str:
    if not salty:
        thin = say("It may be that the brine was mixed thin, or that more plain water went in than had left.")
        still_hatch = [say("Eggs (cysts) still hatch in 5 to 35 g/kg.")] if hatches(troubles) else []
        return " ".join([thin, *still_hatch, say("Animals that swim live better in saltier water.")])
    later = [say("In saltier water eggs (cysts) hatch later.")] if hatches(troubles) else []
    if all(trouble.fill_ml >= LEAST_ML for trouble in troubles):
        left = say("Water leaves, salt stays: what is left grows saltier.")
        return " ".join([left, *later, say("Plain water brings it back.")])
    poured = say(
        "Water leaves, salt stays. The water stands near the mark and is still too salty, so it "
        "may be that salt water was poured in where plain water was meant. That happens easily "
        "and can be put right."
    )
    return " ".join([poured, *later])
