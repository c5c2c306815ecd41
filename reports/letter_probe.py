"""The letter of a probe that gives nothing to believe."""

from collections.abc import Sequence

from reports import words
from reports.letter_page import Block, Caution, Facts, Heading, Paragraph, letter, subject
from reports.letter_parts import action, next_letter, nobody_must_come
from reports.records import LetterText, ProbeTrouble, Setting

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
