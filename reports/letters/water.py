"""The water letter: water that is low, or will be before somebody comes."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite, nan

from reports import amounts, times, words
from reports.language import in_its_language, say, to_say
from reports.letters.heaters import pouring_care, unplugged_for
from reports.letters.page import Block, Caution, Facts, Heading, Paragraph, letter, subject
from reports.letters.pouring import LEAST_ML, POUR_BRINE, due_lines, is_due, takes_brine
from reports.letters.sentences import (
    ASK_ABOUT_CUPS,
    HYGIENE,
    WIDE,
    action,
    name,
    names,
    next_letter,
    nobody_must_come,
    place,
)
from reports.letters.stages import animals, hatches
from reports.records import BrineDue, LetterText, Range, Setting, TimeRange

_LOW = to_say("The water in {names} is getting low: most likely {level}.")
_LOWEST = to_say("The water in {names} is getting low: the lowest is most likely {level}.")

_LIMITS_AFTER = to_say(
    "It should be {low} to {high} g/kg; filling to the mark brings it to about {value} g/kg."
)


@dataclass(frozen=True, slots=True)
class WaterTrouble:
    """Water at the low mark, or there before somebody comes; `brine` is due where `fill_ml` is none.

    `low_g_per_kg` and `high_g_per_kg` are the salt's limits; `mark_ml` is what a cup holds at its mark, and
    `drawn_ml` what was drawn off or taken out since it was last filled; `stage` is one of
    `reports.letters.stages`; `has_heater`: a heater holds its water.
    """

    vessel: str
    count: int
    loss_ml: Range
    low_ml: float
    low_mark_at: TimeRange
    salinity_g_per_kg: Range | None
    low_g_per_kg: float
    high_g_per_kg: float
    mark_ml: float
    drawn_ml: float
    fill_ml: float
    learned_top_ups: int
    stage: str
    brine: BrineDue | None = None
    has_heater: bool = False


@in_its_language
def water_letter(setting: Setting, troubles: Sequence[WaterTrouble]) -> LetterText:
    """Water at the low mark or there before somebody comes; `troubles` holds at least one."""
    lowest = max(troubles, key=lambda trouble: trouble.loss_ml.p50)
    level = amounts.level(lowest.loss_ml.p50)
    poured = [trouble for trouble in troubles if is_due(trouble)]
    blocks: list[Block] = [
        Heading(say("What is known")),
        *(Facts(name(trouble), _facts(setting, trouble)) for trouble in troubles),
        Paragraph(say("These figures are calculated from what was told, not measured.")),
        *([Paragraph(say(WIDE))] if any(trouble.learned_top_ups == 0 for trouble in troubles) else []),
        Heading(say("What it means")),
        Paragraph(_means(troubles)),
        action(setting, unplugged_for(_advice(troubles), poured)),
        *nobody_must_come(setting, ASK_ABOUT_CUPS),
        *pouring_care(poured),
        Caution(say(HYGIENE)),
        next_letter(setting),
    ]
    lead = say(_LOW if len(troubles) == 1 else _LOWEST, names=names(troubles), level=level)
    return letter(
        "water",
        subject(say("Water: {level}", level=level), place(troubles), setting.station),
        lead,
        blocks,
        setting,
    )


def _means(troubles: Sequence[WaterTrouble]) -> str:
    dried = [trouble for trouble in troubles if not _is_drawn(trouble)]
    if not dried:
        sentences = [say("What is left is shallower.")]
    else:
        sentences = [say("Water leaves, salt stays: what is left grows saltier and shallower.")]
    if hatches(dried):
        sentences.append(say("In saltier water eggs (cysts) hatch later."))
    if animals(troubles):
        sentences.append(say("The animals have less room."))
    return " ".join(sentences)


def _is_drawn(trouble: WaterTrouble) -> bool:
    """Whether most of what is missing did not dry up: its salt is gone with it."""
    return trouble.drawn_ml > 0.5 * trouble.loss_ml.p50


def _advice(troubles: Sequence[WaterTrouble]) -> str:
    dry = [trouble for trouble in troubles if trouble.fill_ml >= LEAST_ML]
    fresh = [trouble for trouble in troubles if takes_brine(trouble)]
    if not dry and not fresh:
        return say("pour nothing now: the water stands at the mark or above it. Look again before you go.")
    if not dry:
        return say(POUR_BRINE)
    advice = say(
        "pour plain water, not salt water, up to the mark: {pour}. Stop at the mark. Then tell the care log.",
        pour=words.joined([_fill(trouble) for trouble in dry]),
    )
    if not fresh:
        return advice
    return say("{advice} Into {names} pour brine, as listed.", advice=advice, names=names(fresh))


def _fill(trouble: WaterTrouble) -> str:
    poured, of = amounts.volume_with_spoons(trouble.fill_ml), name(trouble)
    if trouble.count > 1:
        return say("{amount} into each cup of {name}", amount=poured, name=of)
    return say("{amount} into the vessel of {name}", amount=poured, name=of)


def _facts(setting: Setting, trouble: WaterTrouble) -> tuple[str, ...]:
    drawn = [say("Most of this was drawn off, and its salt with it.")] if _is_drawn(trouble) else []
    lines = [
        amounts.water_stands(trouble.loss_ml, trouble.count),
        *drawn,
        say(
            "Low mark, {amount} below the mark: {reached}.",
            amount=amounts.volume(trouble.low_ml),
            reached=_reached(trouble.low_mark_at, setting),
        ),
    ]
    if trouble.salinity_g_per_kg is not None:
        lines.append(
            say(
                "Salt: {salt} (grams in a kilogram of brine).",
                salt=amounts.salinity_range(trouble.salinity_g_per_kg),
            )
        )
        lines.extend(_salt_after(trouble, trouble.salinity_g_per_kg.p50))
    return (*lines, *due_lines(trouble))


def _salt_after(trouble: WaterTrouble, salt_g_per_kg: float) -> tuple[str, ...]:
    """What the plain water does to the salt, where that is worth a word: out of its limits, or drawn off."""
    left_ml = trouble.mark_ml - trouble.loss_ml.p50
    ends = salt_g_per_kg * left_ml / (left_ml + trouble.fill_ml) if left_ml > 0.0 else nan
    after = amounts.number(ends)
    filled = trouble.fill_ml >= LEAST_ML and isfinite(ends)
    if not trouble.low_g_per_kg <= salt_g_per_kg <= trouble.high_g_per_kg:
        low, high = amounts.number(trouble.low_g_per_kg), amounts.number(trouble.high_g_per_kg)
        return (
            say(_LIMITS_AFTER, low=low, high=high, value=after)
            if filled
            else say("It should be {low} to {high} g/kg.", low=low, high=high),
        )
    if filled and _is_drawn(trouble):
        return (say("After the plain water: about {value} g/kg.", value=after),)
    return ()


def _reached(at: TimeRange, setting: Setting) -> str:
    """When something is reached: already, or in the range believed."""
    now = setting.written_at
    if at.p90 is not None and at.p90 <= now:
        return say("reached already")
    if at.p50 is not None and at.p50 <= now:
        return say("most likely reached already")
    return times.moment_range(at, now)
