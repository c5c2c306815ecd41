"""The probe letter: a probe that gives nothing to believe."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from reports import amounts, times, words
from reports.language import in_its_language, say, say_in, say_many, to_say
from reports.letters.page import Block, Caution, Facts, Heading, Paragraph, letter, subject
from reports.letters.sentences import ASK_ABOUT_STATION, action, next_letter, nobody_must_come
from reports.records import LetterText, Setting

_MEASURES = {
    "water_c": to_say("water temperature"),
    "light_lux": to_say("light"),
    "light_fraction": to_say("light"),
    "room_c": to_say("room temperature"),
    "room_rh_pct": to_say("room humidity"),
    "float_low": to_say("float switch"),
}
_BLIND = {
    "water_c": to_say("the water temperature"),
    "light_lux": to_say("the light"),
    "light_fraction": to_say("the light"),
    "room_c": to_say("the room temperature"),
    "room_rh_pct": to_say("the room humidity"),
    "float_low": to_say("the float switch"),
}
_FAULTS = {
    "absent": to_say("it does not answer"),
    "crc": to_say("its answers arrive garbled"),
    "reset": to_say("it gives only the value it starts up with, as after a loose contact"),
    "range": to_say("it gives a value that no classroom can have"),
    "jump": to_say("its value jumped faster than it can in truth"),
    "stuck": to_say("its value does not change at all any more"),
    "in-air": to_say("it follows the air of the room, so it may have come out of the water"),
}
_CHECK = to_say("look, with dry hands, whether the probe {what}'s plug and cable are firm and whole.")
_CHECK_EACH = to_say(
    "look, with dry hands, whether the plugs and cables of these probes are firm and whole: {what}."
)
_SILENT = to_say("Probe silent")
_SAID = {
    "in-air": to_say("Probe in the air"),
    "stuck": to_say("Probe stuck"),
    "jump": to_say("Probe jumps"),
    "range": to_say("Probe not to be believed"),
    "reset": to_say("Probe not to be believed"),
}
_IN_WATER = to_say(
    "the probe stands in salt water. Dry your hands, and keep plugs and sockets away from the water."
)
_NEAR_WATER = to_say(
    "there is salt water near. Dry your hands, and keep plugs and sockets away from the water."
)
# The warm hand makes a step that shows at once that the probe is in water again (docs/explanation/trust.md).
_DIP = to_say(
    "warm the probe {what} in your dry hand for a minute, put it back under the water, and "
    "fix its cable so that it stays there."
)
_DIP_EACH = to_say(
    "warm each of these probes in your dry hand for a minute, put it back under the water, and fix its cable "
    "so that it stays there: {what}."
)


_SEEN_LATE = timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class ProbeTrouble:
    """A probe that gives nothing to believe. `fault` is the reading's quality."""

    probe: str
    measures: str
    vessels: tuple[str, ...]
    fault: str
    since: datetime
    last_good_at: datetime | None
    last_good: float | None


@in_its_language
def probe_letter(setting: Setting, troubles: Sequence[ProbeTrouble]) -> LetterText:
    """Probes that give nothing to believe; `troubles` holds at least one."""
    first = troubles[0]
    dip, check = (_DIP, _CHECK) if len(troubles) == 1 else (_DIP_EACH, _CHECK_EACH)
    advice = say(
        dip if all(t.fault == "in-air" for t in troubles) else check,
        what=words.joined([words.clean(t.probe) for t in troubles]),
    )
    blocks: list[Block] = [
        Heading(say("What is known")),
        *(Facts(_probe_title(trouble), _probe_facts(setting, trouble)) for trouble in troubles),
        Heading(say("What it means")),
        Paragraph(_means(troubles)),
        action(setting, advice),
        *nobody_must_come(setting, ASK_ABOUT_STATION),
        Caution(_caution(troubles)),
        next_letter(setting),
    ]
    lead = say(
        "No trusted reading from {probe} since {when}.",
        probe=_from(words.clean(first.probe), troubles),
        when=_since(setting, troubles),
    )
    since = times.short_moment(_untrusted_since(troubles))
    subject_lead = say("{trouble} since {when}", trouble=_probe_said({t.fault for t in troubles}), when=since)
    place = _and_more(words.shortened(first.probe, 20), troubles)
    return letter("probe", subject(subject_lead, place, setting.station), lead, blocks, setting)


def _means(troubles: Sequence[ProbeTrouble]) -> str:
    measured = _blind(troubles)
    blind = words.joined(measured)
    if len(troubles) == 1:
        return say(
            "This says something about the probe, not about what is in the water: that may be quite well. "
            "Until it is back, {blind} is not known here, and no letter can warn of it. A warning that stood "
            "open stays open; one that did not is not ruled out.",
            blind=blind,
        )
    return say_many(
        "This says something about the probes, not about what is in the water: that may be quite well. "
        "Until they are back, {blind} is not known here, and no letter can warn of it. A warning that stood "
        "open stays open; one that did not is not ruled out.",
        "This says something about the probes, not about what is in the water: that may be quite well. "
        "Until they are back, {blind} are not known here, and no letter can warn of them. A warning that "
        "stood open stays open; one that did not is not ruled out.",
        len(measured),
        blind=blind,
    )


def _caution(troubles: Sequence[ProbeTrouble]) -> str:
    in_water = sum(1 for trouble in troubles if _stands_in_water(trouble))
    if not in_water:
        return say(_NEAR_WATER)
    if len(troubles) == 1:
        return say(_IN_WATER)
    return say_many(
        "the water probe stands in salt water. Dry your hands, and keep plugs and sockets away from the "
        "water.",
        "the water probes stand in salt water. Dry your hands, and keep plugs and sockets away from the "
        "water.",
        in_water,
    )


def _stands_in_water(trouble: ProbeTrouble) -> bool:
    return trouble.measures in ("water_c", "float_low")


def _and_more(probe: str, troubles: Sequence[ProbeTrouble]) -> str:
    if len(troubles) == 1:
        return probe
    return say("{probe} and {count} more", probe=probe, count=len(troubles) - 1)


def _from(probe: str, troubles: Sequence[ProbeTrouble]) -> str:
    if len(troubles) == 1:
        return probe
    return say_in("after from", "{probe} and {count} more", probe=probe, count=len(troubles) - 1)


def _probe_said(faults: set[str]) -> str:
    """What the probes do, in two or three words for the subject."""
    return say(_SAID.get(faults.pop(), _SILENT)) if len(faults) == 1 else say("Probes not trusted")


def _since(setting: Setting, troubles: Sequence[ProbeTrouble]) -> str:
    return times.moment(_untrusted_since(troubles), setting.written_at)


def _untrusted_since(troubles: Sequence[ProbeTrouble]) -> datetime:
    """Since when nothing could be trusted: an alarm may begin long after, where it was seen slowly."""
    return min(
        t.since if t.last_good_at is None or t.since - t.last_good_at < _SEEN_LATE else t.last_good_at
        for t in troubles
    )


def _measure(measures: str) -> str:
    return say(_MEASURES[measures]) if measures in _MEASURES else words.clean(measures)


def _blind(troubles: Sequence[ProbeTrouble]) -> list[str]:
    """What is measured by these, each once."""
    measured = dict.fromkeys(
        say(_BLIND[trouble.measures])
        if trouble.measures in _BLIND
        else say("the {measure}", measure=words.clean(trouble.measures))
        for trouble in troubles
    )
    return list(measured)


def _probe_title(trouble: ProbeTrouble) -> str:
    probe, measure = words.clean(trouble.probe), _measure(trouble.measures)
    if not trouble.vessels:
        return f"{probe}, {measure}"
    vessels = words.joined([words.clean(vessel) for vessel in trouble.vessels])
    if _stands_in_water(trouble):
        return say("{probe}, {measure} in {names}", probe=probe, measure=measure, names=vessels)
    return say("{probe}, {measure} at {names}", probe=probe, measure=measure, names=vessels)


def _probe_facts(setting: Setting, trouble: ProbeTrouble) -> tuple[str, ...]:
    now = setting.written_at
    fault = say(_FAULTS[trouble.fault]) if trouble.fault in _FAULTS else words.clean(trouble.fault)
    lines = [
        say("What is wrong: {fault}.", fault=fault),
        say(
            "Since {when}, for {length}.",
            when=times.moment(trouble.since, now),
            length=times.duration(times.elapsed(trouble.since, now)),
        ),
    ]
    if trouble.last_good is None or trouble.last_good_at is None:
        return (*lines, say("It has given no trusted reading yet."))
    value = _value(trouble.measures, trouble.last_good, setting.unit)
    return (
        *lines,
        say(
            "Last trusted reading: {value}, {when}.",
            value=value,
            when=times.moment(trouble.last_good_at, now),
        ),
    )


def _value(measures: str, value: float, unit: str) -> str:
    match measures:
        case "water_c" | "room_c":
            return amounts.temperature(value, unit)
        case "light_lux":
            return amounts.light(value, "lux")
        case "light_fraction":
            return amounts.light(value, "fraction")
        case "room_rh_pct":
            return say("{share} humidity", share=f"{amounts.number(value)} %")
        case "float_low":
            return say("low water") if value >= 0.5 else say("water high enough")
    return amounts.number(value, 1)
