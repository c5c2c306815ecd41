"""Letters of care: water, probe, hatch and the sample."""

from collections.abc import Sequence

from reports import words
from reports.letter_page import Action, Block, Caution, Facts, Heading, Paragraph, letter, subject
from reports.letter_parts import (
    CALCULATED,
    WIDE,
    action,
    name,
    names,
    next_letter,
    nobody_must_come,
    place,
    silence,
)
from reports.records import HatchNews, LetterText, ProbeTrouble, Setting, TimeRange, WaterTrouble

_MEASURES = {
    "water_c": "water temperature",
    "light_lux": "light",
    "light_fraction": "light",
    "room_c": "room temperature",
    "room_rh_pct": "room humidity",
    "float_low": "float switch",
}
_FAULTS = {
    "absent": "it does not answer",
    "crc": "its answers arrive garbled",
    "reset": "it gives only the value it starts up with, as after a loose contact",
    "range": "it gives a value that no classroom can have",
    "jump": "its value jumped faster than it can in truth",
    "stuck": "its value does not change at all any more",
    "in-air": "it follows the air of the room, so it may have come out of the water",
}
_CHECK = "look, with dry hands, whether the probe {what}'s plug and cable are firm and whole."
_SAID = {
    "in-air": "Probe in the air",
    "stuck": "Probe stuck",
    "jump": "Probe jumps",
    "range": "Probe not to be believed",
    "reset": "Probe not to be believed",
}
# The warm hand makes a step that shows at once that the probe is in water again (docs/explanation/trust.md).
_DIP = (
    "warm the probe {what} in your dry hand for a minute, put it back under the water, and fix its cable so "
    "that it stays there."
)
# From here on a hatch is told by its share, before by its hour.
_UNDER_WAY = 0.1
_HYGIENE = (
    "wash your hands after you touch the water. Cyst dust can set off an allergy, above all in people who "
    "cannot eat shellfish. The animals stay indoors: they must never get into a pond, a river or the sea."
)


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


def probe_letter(setting: Setting, troubles: Sequence[ProbeTrouble]) -> LetterText:
    """Probes that give nothing to believe; `troubles` holds at least one."""
    first = troubles[0]
    more = f" and {len(troubles) - 1} more" if len(troubles) > 1 else ""
    told = (_DIP if all(t.fault == "in-air" for t in troubles) else _CHECK).format(
        what=words.joined([words.clean(t.probe) for t in troubles])
    )
    blocks: list[Block] = [
        Heading("What is known"),
        *(Facts(_probe_title(trouble), _probe_facts(setting, trouble)) for trouble in troubles),
        Heading("What it means"),
        Paragraph(
            "This says something about the probe, not about the animals: they may be quite well. Until it "
            f"is back, {_blind(troubles)} cannot be known here, and no letter can warn of it. A warning "
            "that stood open stays open; one that did not is not ruled out."
        ),
        action(setting, told, told),
        *nobody_must_come(setting, "someone who knows the station"),
        Caution(
            "the probe stands in salt water. Dry your hands, and keep plugs and sockets away from the water."
        ),
        next_letter(setting),
    ]
    lead = f"No trusted reading from {words.clean(first.probe)}{more} since {_since(setting, troubles)}."
    since = words.short_moment(min(t.since for t in troubles))
    subject_lead = f"{_probe_said({t.fault for t in troubles})} since {since}"
    told_place = words.shortened(first.probe, 20) + more
    return letter("probe", subject(subject_lead, told_place, setting.station), lead, blocks, setting)


def _probe_said(faults: set[str]) -> str:
    """What the probes do, in two or three words for the subject."""
    return _SAID.get(faults.pop(), "Probe silent") if len(faults) == 1 else "Probes not trusted"


def _since(setting: Setting, troubles: Sequence[ProbeTrouble]) -> str:
    return words.moment(min(trouble.since for trouble in troubles), setting.written_at)


def _measure(measures: str) -> str:
    return _MEASURES.get(measures, words.clean(measures))


def _blind(troubles: Sequence[ProbeTrouble]) -> str:
    measured = list(dict.fromkeys(_measure(trouble.measures) for trouble in troubles))
    return words.joined([f"the {measure}" for measure in measured])


def _probe_title(trouble: ProbeTrouble) -> str:
    where = (
        f" in {words.joined([words.clean(vessel) for vessel in trouble.vessels])}" if trouble.vessels else ""
    )
    return f"{words.clean(trouble.probe)}, {_measure(trouble.measures)}{where}"


def _probe_facts(setting: Setting, trouble: ProbeTrouble) -> tuple[str, ...]:
    now = setting.written_at
    fault = _FAULTS.get(trouble.fault, words.clean(trouble.fault))
    told = [
        f"What is wrong: {fault}.",
        f"Since {words.moment(trouble.since, now)}, for {words.duration(words.elapsed(trouble.since, now))}.",
    ]
    if trouble.last_good is None or trouble.last_good_at is None:
        return (*told, "It has given no trusted reading yet.")
    value = _value(trouble.measures, trouble.last_good, setting.unit)
    return (*told, f"Last trusted reading: {value}, {words.moment(trouble.last_good_at, now)}.")


def _value(measures: str, value: float, unit: str) -> str:
    match measures:
        case "water_c" | "room_c":
            return words.temperature(value, unit)
        case "light_lux":
            return words.light(value, "lux")
        case "light_fraction":
            return words.light(value, "fraction")
        case "room_rh_pct":
            return f"{words.number(value)} % humidity"
        case "float_low":
            return "low water" if value >= 0.5 else "water high enough"
    return words.number(value, 1)


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
        Caution(_HYGIENE),
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
