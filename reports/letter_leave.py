"""The letter before an unattended stretch: what to fill, what to check, what to expect."""

from collections.abc import Sequence
from datetime import datetime

from reports import words
from reports.letter_page import Action, Block, Facts, Heading, Paragraph, letter, subject
from reports.letter_parts import (
    CALCULATED,
    KNOWN_ABOVE_C,
    STOPS_ABOVE_C,
    WIDE,
    mains,
    name,
    names,
    next_letter,
    place,
    silence,
)
from reports.records import Absence, LetterText, Range, Setting, VesselOutlook


def leave_letter(setting: Setting, absence: Absence, outlooks: Sequence[VesselOutlook]) -> LetterText:
    """Before nobody is in the room: fill, check, go. `outlooks` holds at least one vessel."""
    now = setting.written_at
    blocks: list[Block] = [
        Paragraph(
            f"Nobody is in the room from {words.moment(absence.leaves_at, now)} until "
            f"{words.moment(absence.returns_at, now)}, for "
            f"{words.duration(words.elapsed(absence.leaves_at, absence.returns_at))}."
        ),
        _to_do(outlooks),
        Heading("How much to pour"),
        *(Facts(name(one), _fill_facts(one)) for one in outlooks),
        mains(),
        Heading("What to expect"),
        *(Facts(name(one), _expected(setting, absence, one)) for one in outlooks),
        Paragraph(f"Water, salt and hatch are {CALCULATED}. Temperatures to come are a forecast."),
        *([Paragraph(WIDE)] if any(one.learned_top_ups == 0 for one in outlooks) else []),
        next_letter(setting),
        silence(setting),
    ]
    lead = f"Before you go: {_fill_short(outlooks)} in {names(outlooks)}."
    told = subject(f"Before you go: {_fill_short(outlooks)}", place(outlooks), setting.station)
    return letter("leave", told, lead, blocks, setting)


def _fill_short(outlooks: Sequence[VesselOutlook]) -> str:
    amounts = {words.volume(one.fill_ml) for one in outlooks}
    if all(one.fill_ml < 0.5 for one in outlooks):
        return "no water needed"
    most = words.volume(max(one.fill_ml for one in outlooks))
    told = most if len(amounts) == 1 else f"up to {most}"
    return f"pour {told} a cup" if any(one.count > 1 for one in outlooks) else f"pour {told}"


def _to_do(outlooks: Sequence[VesselOutlook]) -> Action:
    needed = any(one.fill_ml >= 0.5 for one in outlooks)
    pour = "pour plain water, not salt water, as listed below, and tell the care log" if needed else ""
    timer = "see that the lamp's timer is on and set right" if any(one.lamp_hours for one in outlooks) else ""
    feed = "feed as listed below, if the water is clear" if any(one.feed_small for one in outlooks) else ""
    steps = [step for step in (pour, timer, feed) if step] or [
        "look once whether the water stands at the mark"
    ]
    return Action(f"before you go, {'; then '.join(steps)}.")


def _fill_facts(one: VesselOutlook) -> tuple[str, ...]:
    end = words.level(-one.above_mark_ml)
    spoons = f" ({words.spoons(one.above_mark_ml)})" if one.above_mark_ml >= 0.5 else ""
    told = []
    if one.fill_ml < 0.5:
        told.append(f"Fill: nothing. The water stands {end}, as calculated.")
    else:
        until = end.replace(" mL", f" mL{spoons}", 1) if spoons else end
        poured = words.volume_with_spoons(one.fill_ml)
        each_ml = round(one.fill_ml, 1 if one.fill_ml < 10.0 else 0)  # as it is told, so that the sum agrees
        total = f", {words.volume(each_ml * one.count)} in all" if one.count > 1 else ""
        told.append(
            f"Fill: {poured} of plain water into {words.each_of(one.count)}{total}, which ends {until}."
        )
        told.append(f"Tell it: {_care_line(one)}")
    told.append(_holds(one))
    timers = dict.fromkeys(words.hours(span) for span in one.lamp_hours)
    if timers:
        told.append(f"Lamp timer: on from {words.joined(list(timers))}.")
    if one.feed_small:
        told.append(
            f"Feed: half a pinch into {words.each_of(one.count)}, only if the water is clear. Nobody will "
            "be there to see it grow cloudy."
        )
    return tuple(told)


def _care_line(one: VesselOutlook) -> str:
    """The line for the care log, ready to copy."""
    amount = words.number(one.fill_ml, 1).removesuffix(".0")
    line = "to=mark" if one.above_mark_ml < 0.5 else f"above_ml={words.number(one.above_mark_ml)}"
    return f"naupliad care add {words.clean(one.vessel)} top-up {amount} --detail {line}"


def _holds(one: VesselOutlook) -> str:
    if one.fill_holds:
        return (
            "That is believed to last: with nine chances in ten the water stays under the brim and over the "
            "low mark until you are back."
        )
    if one.fill_fails == "brim":
        return (
            "The water may stand over the brim: with more than one chance in ten. Look, and take some out, "
            "down to the mark; then tell the care log how much."
        )
    return (
        "That may not last until you are back. If somebody can look in meanwhile, ask them to fill to the "
        "mark; if nobody can, fill to the mark first when you are back."
    )


def _expected(setting: Setting, absence: Absence, one: VesselOutlook) -> tuple[str, ...]:
    told = [
        f"Water at your return: {words.level_range(one.loss_ml_at_return)}.",
        f"Low mark: {words.volume(one.low_ml)} below the mark.",
    ]
    if one.salinity_at_return is not None:
        told.append(f"Salt at your return: {words.salinity_range(one.salinity_at_return)}.")
    told.extend(_hatch(setting.written_at, absence, one))
    return (*told, *_warmth(setting, one))


def _hatch(now: datetime, absence: Absence, one: VesselOutlook) -> list[str]:
    set_at = f"Set {words.moment(one.batch_set_at, now)}."
    hatched = f"Hatched by now, of those that will: {words.percent_range(one.hatched_fraction)}."
    if one.hatched_fraction.p10 > 0.9:
        return [set_at, hatched]
    half = one.hatch_t50.p50
    here = (
        ", while nobody is here" if half is not None and absence.leaves_at < half < absence.returns_at else ""
    )
    return [
        set_at,
        hatched,
        f"The first tenth: {words.moment_range(one.hatch_t10, now)}.",
        f"Half: {words.moment_range(one.hatch_t50, now)}{here}.",
        f"Nine in ten: {words.moment_range(one.hatch_t90, now)}.",
    ]


def _warmth(setting: Setting, one: VesselOutlook) -> list[str]:
    """The coldest and warmest water to come, of the whole absence where that is forecast."""
    coldest, warmest = one.water_c_min_away or one.water_c_min_next_16h, one.water_c_max_away
    over = "while you are away" if one.water_c_min_away is not None else "in the next 16 hours"
    told = ["How cold it will get is not known."]
    if coldest is not None:
        said = f"Coldest {over}: {words.temperature_range(coldest, setting.unit)}."
        told = [f"{said}{_if_cold(setting, one, coldest)}"]
    if warmest is not None:
        said = f"Warmest while you are away: {words.temperature_range(warmest, setting.unit)}."
        told.append(f"{said}{_if_hot(warmest)}")
    return told


def _if_cold(setting: Setting, one: VesselOutlook, coldest: Range) -> str:
    if coldest.p10 < KNOWN_ABOVE_C:
        limit = words.temperature(KNOWN_ABOVE_C, setting.unit, 0)
        return f" Below {limit} it is not known how fast a hatch goes on."
    if coldest.p10 < one.cold_c:
        limit = words.temperature(one.cold_c, setting.unit)
        return f" It may pass the limit of {limit}: then the hatch comes later."
    return ""


def _if_hot(warmest: Range) -> str:
    if warmest.p90 > STOPS_ABOVE_C:
        return (
            f" Above {words.both_units(STOPS_ABOVE_C)} the eggs (cysts) stop developing and may not recover."
        )
    return ""
