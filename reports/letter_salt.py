"""Letters about salt: too much of it, or too little."""

from collections.abc import Sequence

from reports import words
from reports.dilution import LEAST_ML, STRONG_SALT_G_PER_L, Exchange, with_plain_water, with_strong_brine
from reports.letter_page import Block, Caution, Facts, Heading, Paragraph, letter, subject
from reports.letter_parts import (
    CALCULATED,
    HYGIENE,
    action,
    each_of,
    name,
    names,
    next_letter,
    nobody_must_come,
    place,
)
from reports.records import LetterText, SalinityTrouble, Setting

_MEASURE = (
    "If you have a hydrometer or a refractometer, measure the salt first, and tell the care log: then it "
    "is known."
)
# 5 to 35 g/kg is good for hatching (New 2002, FAO Fisheries Technical Paper 428), from 35 on for swimmers
# (Vanhaecke, Siddall & Sorgeloos 1984).
_KEEP = (
    "Take the water out on the dark side, for animals gather where it is bright. Keep it in a jar: "
    "it may hold eggs or animals."
)


def salinity_letter(setting: Setting, troubles: Sequence[SalinityTrouble]) -> LetterText:
    """Water too salt or not salt enough; `troubles` holds at least one, all to the same side."""
    salty = _too_salty(troubles[0])
    first = (max if salty else min)(troubles, key=lambda trouble: trouble.salinity_g_per_kg.p50)
    value = f"{words.number(first.salinity_g_per_kg.p50)} g/kg"
    pour = _pour_plain(troubles) if salty else _pour_brine(troubles)
    blocks: list[Block] = [
        Heading("What is known"),
        *(Facts(name(trouble), _facts(trouble)) for trouble in troubles),
        Paragraph(f"These figures are {CALCULATED}. {_MEASURE}"),
        Heading("What it means"),
        Paragraph(_means(troubles, salty)),
        action(setting, pour, pour),
        *([Paragraph(_KEEP)] if any(_taken_out(trouble) for trouble in troubles) else []),
        *nobody_must_come(setting, "a person you trust with the cups"),
        Caution(HYGIENE),
        next_letter(setting),
    ]
    said = "too salty" if salty else "not salty enough"
    lead = f"The water in {names(troubles)} is most likely {said}: {_most(troubles, salty)}about {value}."
    told = subject(
        f"{'Too salty' if salty else 'Too little salt'}: {value}", place(troubles), setting.station
    )
    return letter("water", told, lead, blocks, setting)


def _too_salty(trouble: SalinityTrouble) -> bool:
    believed = trouble.salinity_g_per_kg.p50
    return believed - trouble.high_g_per_kg > trouble.low_g_per_kg - believed


def _most(troubles: Sequence[SalinityTrouble], salty: bool) -> str:
    return "" if len(troubles) == 1 else f"the {'most' if salty else 'least'} salty has "


def _exchange(trouble: SalinityTrouble) -> Exchange | None:
    return with_plain_water(trouble) if _too_salty(trouble) else with_strong_brine(trouble)


def _taken_out(trouble: SalinityTrouble) -> bool:
    exchange = _exchange(trouble)
    return exchange is not None and exchange.out_ml > 0.0


def _facts(trouble: SalinityTrouble) -> tuple[str, ...]:
    low, high = words.number(trouble.low_g_per_kg), words.number(trouble.high_g_per_kg)
    told = [
        f"Salt: {words.salinity_range(trouble.salinity_g_per_kg)} (grams in a kilogram of brine).",
        f"It should be {low} to {high} g/kg.",
        f"Water in {words.each_of(trouble.count)}: {words.level_range(trouble.loss_ml)}.",
    ]
    exchange = _exchange(trouble)
    if exchange is not None:
        told.append(
            f"{_steps(trouble, exchange)} After that: about {words.number(exchange.ends_g_per_kg)} g/kg."
        )
        told += [f"Tell it: {line}" for line in _care_lines(trouble, exchange)]
    return tuple(told)


def _steps(trouble: SalinityTrouble, exchange: Exchange) -> str:
    where = words.each_of(trouble.count)
    what = "plain water" if _too_salty(trouble) else "strong brine"
    if exchange.out_ml <= 0.0:
        return f"Pour {words.volume_with_spoons(exchange.in_ml)} of {what} into {where}."
    out, poured = words.volume_with_spoons(exchange.out_ml), words.volume_with_spoons(exchange.in_ml)
    return f"Take {out} out of {where}, then pour {poured} of {what} in."


def _care_lines(trouble: SalinityTrouble, exchange: Exchange) -> list[str]:
    """The lines for the care log, ready to copy."""
    add = f"naupliad care add {words.clean(trouble.vessel)}"
    poured = _amount(exchange.in_ml)
    last = f"{add} top-up {poured}{' --detail to=mark' if exchange.to_mark else ''}"
    if not _too_salty(trouble):
        last = f"{add} brine {poured} --detail salt_g_per_l={words.number(STRONG_SALT_G_PER_L)}"
    return [f"{add} remove {_amount(exchange.out_ml)}", last] if exchange.out_ml > 0.0 else [last]


def _amount(amount_ml: float) -> str:
    return words.number(amount_ml, 1).removesuffix(".0") if amount_ml < 10.0 else words.number(amount_ml)


def _pour_plain(troubles: Sequence[SalinityTrouble]) -> str:
    if any(exchange and not exchange.to_mark for exchange in map(_exchange, troubles)):
        return (
            "pour plain water, not salt water, slowly, as listed above and no more. Then tell the care log."
        )
    if any(_taken_out(trouble) for trouble in troubles):
        return (
            "take some water out and pour plain water, not salt water, up to the mark, slowly, as listed "
            "above. Then tell the care log."
        )
    if any(trouble.fill_ml >= LEAST_ML for trouble in troubles):
        pour = words.joined([_fill(trouble) for trouble in troubles if trouble.fill_ml >= LEAST_ML])
        return (
            f"pour plain water, not salt water, up to the mark: {pour}. Stop at the mark. Then tell the care "
            "log."
        )
    return (
        f"take about {words.percent(_share_out(troubles))} of the water out of {each_of(troubles)}, and pour "
        "plain water, not salt water, up to the mark. Then tell the care log."
    )


def _fill(trouble: SalinityTrouble) -> str:
    where = f"each cup of {name(trouble)}" if trouble.count > 1 else name(trouble)
    return f"{words.volume_with_spoons(trouble.fill_ml)} into {where}"


def _share_out(troubles: Sequence[SalinityTrouble]) -> float:
    """The share of brine to replace for the middle of the range; where each vessel's volume is not known."""
    saltiest = max(troubles, key=lambda trouble: trouble.salinity_g_per_kg.p50)
    wanted = (saltiest.low_g_per_kg + saltiest.high_g_per_kg) / 2.0
    believed = saltiest.salinity_g_per_kg.p50
    return min(max(1.0 - wanted / believed, 0.05), 0.95) if believed > 0.0 else 0.05


def _pour_brine(troubles: Sequence[SalinityTrouble]) -> str:
    exchanges = [(trouble, exchange) for trouble in troubles if (exchange := _exchange(trouble))]
    if not exchanges:
        return (
            "look in the care log whether each top-up and each brine was told right, and correct what was "
            "not."
        )
    total_ml = sum(trouble.count * exchange.in_ml for trouble, exchange in exchanges)
    salt_g = total_ml * STRONG_SALT_G_PER_L / 1000.0
    return (
        f"stir {words.number(salt_g, 0 if salt_g >= 10.0 else 1)} g of your salt into "
        f"{words.volume(total_ml)} of plain water, and with this strong brine do as listed above, slowly. "
        "Then tell the care log."
    )


def _means(troubles: Sequence[SalinityTrouble], salty: bool) -> str:
    if not salty:
        return (
            "It may be that the brine was mixed thin, or that more plain water went in than had left. Eggs "
            "(cysts) still hatch in 5 to 35 g/kg. Animals that swim live better in saltier water."
        )
    if all(trouble.fill_ml >= LEAST_ML for trouble in troubles):
        return (
            "Water leaves, salt stays: what is left grows saltier. In saltier water eggs (cysts) hatch "
            "later. Plain water brings it back."
        )
    return (
        "Water leaves, salt stays. The water stands near the mark and is still too salty, so it may be that "
        "salt water was poured in where plain water was meant. That happens easily and can be put right. In "
        "saltier water eggs (cysts) hatch later."
    )
