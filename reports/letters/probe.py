"""The probe letter: a probe that gives nothing to believe."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from reports import probe_words, times, words
from reports.language import in_its_language, say, say_in, say_many, to_say
from reports.letters.blocks import Block, Body, Caution, Facts, Table
from reports.letters.known import listed
from reports.letters.page import letter, subject
from reports.letters.sentences import ASK_ABOUT_STATION, action, ending, nobody_must_come
from reports.records import LetterText, Setting

_BLIND = {
    "water_c": to_say("the water temperature"),
    "light_lux": to_say("the light"),
    "light_fraction": to_say("the light"),
    "room_c": to_say("the room temperature"),
    "room_rh_pct": to_say("the room humidity"),
    "float_low": to_say("the float switch"),
}
_CHECK = to_say("look, with dry hands, whether the probe {what}'s plug and cable are firm and whole.")
_CHECK_EACH = to_say("look, with dry hands, whether plugs and cables of {what} are firm and whole.")
_CHECK_LISTED = to_say(
    "look, with dry hands, whether plugs and cables of the probes below are firm and whole."
)
_SILENT = to_say("Probe silent")
_SAID = {
    "in-air": to_say("Probe in the air"),
    "stuck": to_say("Probe stuck"),
    "jump": to_say("Probe jumps"),
    "range": to_say("Probe not to be believed"),
    "reset": to_say("Probe not to be believed"),
}
_IN_WATER = to_say("The probe stands in salt water. Dry hands; keep plugs and sockets away from it.")
_NEAR_WATER = to_say("Salt water is near. Dry hands; keep plugs and sockets away from it.")
# The warm hand makes a step that shows at once that the probe is in water again (docs/explanation/trust.md).
_DIP = to_say(
    "warm the probe {what} in your dry hand for a minute. Put it back under the water, and fix its cable "
    "there."
)
_DIP_EACH = to_say(
    "warm each of {what} in your dry hand for a minute. Put it back under the water, and fix its cable there."
)
_DIP_LISTED = to_say(
    "warm each probe below in your dry hand for a minute. Put it back under the water, and fix its cable "
    "there."
)
# More names would make the sentence too long to read; they stand in the table.
_MOST_NAMES = 3
# So many that fail alike have one cause, which is not found by their names.
_MOST_LISTED = 6


_SEEN_LATE = timedelta(hours=1)
# Alarms of one cause begin at nearly one time.
_ONE_TIME = timedelta(minutes=30)


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
    body = Body(
        action(setting, _advice(troubles)),
        care=(Caution(_caution(troubles)),),
        besides=nobody_must_come(setting, ASK_ABOUT_STATION),
        known=_known(setting, troubles),
        means=(_means(troubles),),
        ending=ending(setting),
    )
    lead = say(
        "No trusted reading from {probe} since {when}.",
        probe=_from(words.clean(first.probe), troubles),
        when=times.moment(_untrusted_since(troubles), setting.written_at),
    )
    since = times.short_moment(_untrusted_since(troubles))
    subject_lead = say("{trouble} since {when}", trouble=_probe_said({t.fault for t in troubles}), when=since)
    place = _and_more(words.shortened(first.probe, 20), troubles)
    return letter("probe", subject(subject_lead, place, setting.station), lead, body, setting)


def _advice(troubles: Sequence[ProbeTrouble]) -> str:
    in_air = all(trouble.fault == "in-air" for trouble in troubles)
    names = [words.clean(trouble.probe) for trouble in troubles]
    if len(names) == 1:
        return say(_DIP if in_air else _CHECK, what=names[0])
    if len(names) > _MOST_NAMES:
        return say(_DIP_LISTED if in_air else _CHECK_LISTED)
    return say(_DIP_EACH if in_air else _CHECK_EACH, what=words.joined(names))


def _means(troubles: Sequence[ProbeTrouble]) -> str:
    return say_many(
        "The water may be quite well. Without this probe, no letter can warn about {blind}. Open alarms "
        "stay open.",
        "The water may be quite well. Without these probes, no letter can warn about {blind}. Open alarms "
        "stay open.",
        len(troubles),
        blind=words.joined(_blind(troubles)),
    )


def _caution(troubles: Sequence[ProbeTrouble]) -> str:
    in_water = sum(1 for trouble in troubles if _stands_in_water(trouble))
    if not in_water:
        return say(_NEAR_WATER)
    if len(troubles) == 1:
        return say(_IN_WATER)
    return say_many(
        "The water probe stands in salt water. Dry hands; keep plugs and sockets away from it.",
        "The water probes stand in salt water. Dry hands; keep plugs and sockets away from it.",
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


def _untrusted_since(troubles: Sequence[ProbeTrouble]) -> datetime:
    """Since when nothing could be trusted: an alarm may begin long after, where it was seen slowly."""
    return min(
        t.since if t.last_good_at is None or t.since - t.last_good_at < _SEEN_LATE else t.last_good_at
        for t in troubles
    )


def _blind(troubles: Sequence[ProbeTrouble]) -> list[str]:
    """What is measured by these, each once."""
    measured = dict.fromkeys(
        say(_BLIND[trouble.measures])
        if trouble.measures in _BLIND
        else say("the {measure}", measure=words.clean(trouble.measures))
        for trouble in troubles
    )
    return list(measured)


def _known(setting: Setting, troubles: Sequence[ProbeTrouble]) -> list[Block]:
    """What is known of the one probe, or a row for each group that fails in one way at one measure."""
    if len(troubles) == 1:
        return [Facts(_probe_title(troubles[0]), _probe_facts(setting, troubles[0]))]
    groups: dict[tuple[str, str, bool], list[ProbeTrouble]] = {}
    for trouble in troubles:
        groups.setdefault((trouble.measures, trouble.fault, trouble.last_good_at is None), []).append(trouble)
    head = (say("Probe"), say("Measures"), say("What is wrong"), say("Since"))
    return [Table(head, tuple(_row(setting, alike) for alike in groups.values()))]


def _row(setting: Setting, alike: Sequence[ProbeTrouble]) -> tuple[str, ...]:
    vessels = list(dict.fromkeys(vessel for trouble in alike for vessel in trouble.vessels))
    names = list(dict.fromkeys(trouble.probe for trouble in alike))
    some, more = names[:_MOST_LISTED], len(names) - _MOST_LISTED
    return (
        listed(names) if more <= 1 else say("{probe} and {count} more", probe=", ".join(some), count=more),
        _measured_where(alike[0], vessels if len(vessels) <= _MOST_LISTED else ()),
        probe_words.fault(alike[0].fault),
        _since(setting, alike),
    )


def _since(setting: Setting, alike: Sequence[ProbeTrouble]) -> str:
    first = min(trouble.since for trouble in alike)
    when = times.moment(first, setting.written_at)
    if alike[0].last_good_at is None:
        return say("{when}; no trusted reading yet", when=when)
    last = max(trouble.since for trouble in alike)
    return say("{when} or later", when=when) if times.elapsed(first, last) > _ONE_TIME else when


def _measured_where(trouble: ProbeTrouble, vessels: Sequence[str]) -> str:
    measure = probe_words.measure(trouble.measures)
    if not vessels:
        return measure
    if _stands_in_water(trouble):
        return say("{measure} in {names}", measure=measure, names=listed(vessels))
    return say("{measure} at {names}", measure=measure, names=listed(vessels))


def _probe_title(trouble: ProbeTrouble) -> str:
    return f"{words.clean(trouble.probe)}, {_measured_where(trouble, trouble.vessels)}"


def _probe_facts(setting: Setting, trouble: ProbeTrouble) -> tuple[str, ...]:
    wrong = say("What is wrong: {fault}.", fault=probe_words.fault(trouble.fault))
    if trouble.last_good is None or trouble.last_good_at is None:
        return wrong, say("It has given no trusted reading yet.")
    value = probe_words.value(trouble.measures, trouble.last_good, setting.unit)
    return wrong, say("Last trusted reading: {value}.", value=value)
