"""The water letter: water that is low, or will be before somebody comes."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite, nan

from reports import amounts, times
from reports.language import in_its_language, say, to_say
from reports.letters import record
from reports.letters.blocks import Block, Body, Caution, Facts, Paragraph
from reports.letters.heaters import pouring_care, unplugged_for
from reports.letters.known import Fact, Known, fact, fact_lines, known, listed
from reports.letters.page import letter, subject
from reports.letters.pouring import (
    LEAST_ML,
    POUR_BRINE,
    brine_steps,
    due_lines,
    due_record,
    into_all,
    is_due,
    poured_cell,
    takes_brine,
)
from reports.letters.sentences import (
    ASK_ABOUT_CUPS,
    WASH,
    action,
    ending,
    name,
    names,
    nobody_must_come,
    place,
)
from reports.letters.stages import animals, hatches
from reports.records import BrineDue, LetterText, Range, Setting, TimeRange

_LOW = to_say("The water in {names} gets low: {level}.")
_LOWEST = to_say("The water in {names} gets low: the lowest is most likely {level}.")


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
    level = amounts.level(max(trouble.loss_ml.p50 for trouble in troubles))
    poured = [trouble for trouble in troubles if is_due(trouble)]
    body = Body(
        action=action(setting, unplugged_for(_advice(setting, troubles), poured)),
        care=[*pouring_care(poured), Caution(say(WASH))],
        record=_record(poured),
        besides=nobody_must_come(setting, ASK_ABOUT_CUPS),
        known=_known(setting, troubles),
        spare=[Paragraph(one) for one in _means(troubles)],
        ending=ending(setting),
    )
    subject_line = subject(say("Water: {level}", level=level), place(troubles), setting.station)
    return letter("water", subject_line, _lead(setting, troubles, level), body, setting)


def _lead(setting: Setting, troubles: Sequence[WaterTrouble], lowest: str) -> str:
    if _is_alike(setting, troubles):
        level = amounts.level_range(troubles[0].loss_ml)
        return say(_LOW, names=names(troubles), level=level)
    return say(_LOWEST, names=names(troubles), level=lowest)


def _advice(setting: Setting, troubles: Sequence[WaterTrouble]) -> str:
    dry = [trouble for trouble in troubles if trouble.fill_ml >= LEAST_ML]
    fresh = [trouble for trouble in troubles if takes_brine(trouble)]
    if not dry and not fresh:
        return say("pour nothing now: the water stands at the mark or above it. Look again before you go.")
    if not dry:
        return say(POUR_BRINE)
    if _is_alike(setting, troubles):
        advice = say(
            "pour plain water, not salt water, up to the mark. Stop there: that is {pour}.",
            pour=into_all(dry[0].fill_ml, dry),
        )
    else:
        advice = say("pour plain water, not salt water, up to the mark, as listed. Stop at the mark.")
    if not fresh:
        return advice
    return say("{advice} Into {names} pour brine, as listed.", advice=advice, names=names(fresh))


def _record(poured: Sequence[WaterTrouble]) -> tuple[str, ...]:
    filled = [[record.top_up(one.vessel, one.fill_ml)] for one in poured if one.fill_ml >= LEAST_ML]
    fresh = [due_record(one) for one in poured if takes_brine(one)]
    return (*record.of_each(filled), *record.of_each(fresh))


def _is_alike(setting: Setting, troubles: Sequence[WaterTrouble]) -> bool:
    """Whether one thing is true of all: then lead and action say it, else a table does."""
    return len({(one.loss_ml, poured_cell(one), _facts(setting, one)) for one in troubles}) == 1


def _known(setting: Setting, troubles: Sequence[WaterTrouble]) -> list[Block]:
    if _is_alike(setting, troubles):
        one, about = troubles[0], listed([one.vessel for one in troubles])
        return [Facts(about, (*due_lines(one), *fact_lines(_facts(setting, one))))]
    rows = [Known(name(one), (*_row(one), *_facts(setting, one))) for one in troubles]
    return [*known(rows, say("Vessel")), *brine_steps(troubles)]


def _row(trouble: WaterTrouble) -> tuple[Fact, ...]:
    """What to pour and how the water stands, of one vessel beside others."""
    return (
        fact(say("Pour"), poured_cell(trouble)),
        Fact(say("Water"), amounts.level_range(trouble.loss_ml), amounts.short_level(trouble.loss_ml.p50)),
    )


def _facts(setting: Setting, trouble: WaterTrouble) -> tuple[Fact, ...]:
    amount = amounts.volume(trouble.drawn_ml)
    drawn = Fact(say("Drawn off"), say("{amount}, with its salt", amount=amount), amount)
    low_mark = _low_mark(trouble, setting)
    return (low_mark, *((drawn,) if _is_drawn(trouble) else ()), *_salt(trouble))


def _low_mark(trouble: WaterTrouble, setting: Setting) -> Fact:
    """When the low mark is reached: already, or in the range believed."""
    at, now = trouble.low_mark_at, setting.written_at
    label = say("Low mark (calculated)")
    if trouble.learned_top_ups == 0:
        label = say("Low mark (calculated, no top-up noted)")
    if at.p90 is not None and at.p90 <= now:
        return fact(label, say("reached already"))
    if at.p50 is not None and at.p50 <= now:
        return fact(label, say("most likely reached already"))
    return fact(label, times.short_range(at, now))


def _salt(trouble: WaterTrouble) -> tuple[Fact, ...]:
    """The salt, where it is worth a word: out of its limits, or drawn off with the water."""
    salt = trouble.salinity_g_per_kg
    if salt is None or not (_is_off(trouble) or _is_drawn(trouble)):
        return ()
    left_ml = trouble.mark_ml - trouble.loss_ml.p50
    ends = salt.p50 * left_ml / (left_ml + trouble.fill_ml) if left_ml > 0.0 else nan
    poured = trouble.fill_ml >= LEAST_ML and isfinite(ends)
    after = [say("once filled about {value} g", value=amounts.number(ends))] if poured else []
    if not _is_off(trouble):
        return tuple(Fact(amounts.salt_in(), one) for one in after)
    limits = say(
        "should be {low} to {high} g",
        low=amounts.number(trouble.low_g_per_kg),
        high=amounts.number(trouble.high_g_per_kg),
    )
    told = "; ".join([amounts.salinity_range(salt), limits, *after])
    return (Fact(amounts.salt_in(), told, say("{value} g", value=amounts.number(salt.p50, 1))),)


def _is_off(trouble: WaterTrouble) -> bool:
    salt = trouble.salinity_g_per_kg
    return salt is not None and not trouble.low_g_per_kg <= salt.p50 <= trouble.high_g_per_kg


def _is_drawn(trouble: WaterTrouble) -> bool:
    """Whether most of what is missing did not dry up: its salt is gone with it."""
    return trouble.drawn_ml > 0.5 * trouble.loss_ml.p50


def _means(troubles: Sequence[WaterTrouble]) -> list[str]:
    dried = [trouble for trouble in troubles if not _is_drawn(trouble)]
    room = [say("The animals have less room.")] if animals(troubles) else []
    if not dried:
        return room
    if hatches(dried):
        return [say("Water leaves, salt stays: eggs (cysts) hatch later."), *room]
    return [say("Water leaves, salt stays."), *room]
