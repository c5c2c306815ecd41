"""Letters of care: water, hatch and the sample."""

from collections.abc import Sequence

from reports import words
from reports.letter_page import Action, Block, Caution, Facts, Heading, Paragraph, letter, subject
from reports.letter_parts import (
    CALCULATED,
    HYGIENE,
    WIDE,
    action,
    name,
    names,
    next_letter,
    nobody_must_come,
    place,
    silence,
)
from reports.records import HatchNews, LetterText, Setting, TimeRange, WaterTrouble

# From here on a hatch is told by its share, before by its hour.
_UNDER_WAY = 0.1


def water_letter(setting: Setting, troubles: Sequence[WaterTrouble]) -> LetterText:
    """Water at the low mark or there before somebody comes; `troubles` holds at least one."""
    lowest = max(troubles, key=lambda trouble: trouble.loss_ml.p50)
    level = words.level(lowest.loss_ml.p50)
    pour = words.joined([f"{_fill(trouble)} of {name(trouble)}" for trouble in troubles])
    told = (
        f"pour plain water, not salt water, up to the mark: {pour}. Stop at the mark. Then tell the care log."
    )
    blocks: list[Block] = [
        Heading("What is known"),
        *(Facts(name(trouble), _water_facts(setting, trouble)) for trouble in troubles),
        Paragraph(f"These figures are {CALCULATED}."),
        *([Paragraph(WIDE)] if any(trouble.learned_top_ups == 0 for trouble in troubles) else []),
        Heading("What it means"),
        Paragraph(
            "Water leaves, salt stays: what is left grows saltier and shallower. In saltier water eggs "
            "(cysts) hatch later, and the animals have less room."
        ),
        action(setting, told, told),
        *nobody_must_come(setting, "a person you trust with the cups"),
        next_letter(setting),
    ]
    lead = f"The water in {names(troubles)} is getting low: {_most(troubles)} {level}."
    return letter(
        "water", subject(f"Water: {level}", place(troubles), setting.station), lead, blocks, setting
    )


def _most(troubles: Sequence[WaterTrouble]) -> str:
    return "most likely" if len(troubles) == 1 else "the lowest is most likely"


def _fill(trouble: WaterTrouble) -> str:
    where = "into each cup" if trouble.count > 1 else "into the vessel"
    return f"{words.volume_with_spoons(trouble.fill_ml)} {where}"


def _water_facts(setting: Setting, trouble: WaterTrouble) -> tuple[str, ...]:
    told = [
        f"Water in {words.each_of(trouble.count)}: {words.level_range(trouble.loss_ml)}.",
        f"Low mark, {words.volume(trouble.low_ml)} below the mark: {reached(trouble.low_mark_at, setting)}.",
    ]
    if trouble.salinity_g_per_kg is not None:
        told.append(
            f"Salt: {words.salinity_range(trouble.salinity_g_per_kg)} (grams in a kilogram of brine)."
        )
    return tuple(told)


def reached(at: TimeRange, setting: Setting) -> str:
    """When something is reached: already, or in the range believed."""
    now = setting.written_at
    if at.p90 is not None and at.p90 <= now:
        return "reached already"
    if at.p50 is not None and at.p50 <= now:
        return "most likely reached already"
    return words.moment_range(at, now)


def hatch_letter(setting: Setting, news: Sequence[HatchNews]) -> LetterText:
    """A hatch that is near or has come; `news` holds at least one."""
    first = max(news, key=lambda one: one.hatched_fraction.p50)
    share = words.percent(first.hatched_fraction.p50)
    look = "look into a cup with light from the side, and tell the care log what you see"
    blocks: list[Block] = [
        Heading("What is known"),
        *(Facts(name(one), _hatch_facts(setting, one)) for one in news),
        Paragraph(f"The shares are of those cysts that will hatch at all, and are {CALCULATED}."),
        Heading("What it means"),
        Paragraph(
            "The first swimmers are easy to miss: orange dots that jerk along and gather where it is "
            "bright. They live on their yolk at first; a first feed on day three or four is common practice."
        ),
        action(setting, f"{look}: first swimmers, or none yet.", f"{look}. What you see then still counts."),
        Caution(HYGIENE),
        next_letter(setting),
    ]
    lead = _hatch_lead(setting, news, first)
    half = first.hatch_t50.p50
    coming = half is not None and half > setting.written_at and first.hatched_fraction.p50 < _UNDER_WAY
    told = (
        f"half by {words.short_moment(words.believed_moment(half))}" if coming and half else f"about {share}"
    )
    return letter("hatch", subject(f"Hatch: {told}", place(news), setting.station), lead, blocks, setting)


def _hatch_lead(setting: Setting, news: Sequence[HatchNews], first: HatchNews) -> str:
    share = words.percent(first.hatched_fraction.p50)
    if first.hatched_fraction.p50 >= 0.9:
        return f"The hatch in {names(news)} is nearly done: most likely {share}."
    if first.hatched_fraction.p50 >= _UNDER_WAY:
        return f"The hatch in {names(news)} is under way: most likely {share}."
    half = first.hatch_t50.p50
    when = "" if half is None else f", half most likely {_about(setting, first)}"
    return f"The hatch in {names(news)} is near: most likely {share} so far{when}."


def _about(setting: Setting, one: HatchNews) -> str:
    half = one.hatch_t50.p50
    return "" if half is None else words.moment(words.believed_moment(half), setting.written_at)


def _hatch_facts(setting: Setting, one: HatchNews) -> tuple[str, ...]:
    now = setting.written_at
    return (
        f"Set {words.moment(one.set_at, now)}, {words.duration(words.elapsed(one.set_at, now))} ago.",
        f"Hatched so far: {words.percent_range(one.hatched_fraction)}.",
        f"The first tenth: {words.moment_range(one.hatch_t10, now)}.",
        f"Half: {words.moment_range(one.hatch_t50, now)}.",
        f"Nine in ten: {words.moment_range(one.hatch_t90, now)}.",
    )


def sample_letter(setting: Setting) -> LetterText:
    """A letter that shows that the post works and what letters look like."""
    blocks: list[Block] = [
        Paragraph(
            "If you can read this, letters reach you. Nothing is wrong and no cup is meant. Each letter "
            "tells what is known and since when, what it means for the animals, one thing to do, and when "
            "the next one comes."
        ),
        Paragraph(f"A temperature looks like this: {words.temperature(24.5, setting.unit)}."),
        Action("tell the person who set up the station that this letter came."),
        next_letter(setting),
        silence(setting),
    ]
    told = subject(f"Sample letter, {words.short_moment(setting.written_at)}", "", setting.station)
    return letter("sample", told, f"This is a sample letter from {setting.station}.", blocks, setting)
