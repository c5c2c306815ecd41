"""F. Lamp hours are the station file's, and what is said of a lamp is said in them."""

from collections.abc import Iterator

from daemon.station import Vessel
from tests.kit.invariants import phrases
from tests.kit.invariants.calendar import in_hours
from tests.kit.invariants.finding import Finding, of
from tests.kit.invariants.record import Record


def hours_in_words(vessel: Vessel) -> list[str]:
    """Its lamp hours as letters write them."""
    return [f"{span.begins:%H:%M} to {span.ends:%H:%M}" for span in vessel.lamp]


def _spans(text: str) -> list[str]:
    return [span.replace("24:00", "00:00") for span in text.replace(" and ", ", ").split(", ")]


def lamp_hours_are_the_file_s(record: Record) -> Iterator[Finding]:
    """Whole, and in no other order of things than the file's."""
    for letter in record.letters if record.english else ():
        for vessel in record.station.vessels:
            for line in letter.facts(vessel.id):
                timer, hours = (
                    phrases.LAMP_TIMER.pattern.search(line),
                    phrases.LAMP_HOURS.pattern.search(line),
                )
                told = hours_in_words(vessel)
                if timer is not None and sorted(_spans(timer[1])) != sorted(told):
                    yield of(record, letter, line, f"{vessel.id} has {', '.join(told) or 'no lamp'}")
                if hours is not None and not {*_spans(hours[1])} <= {*told}:
                    yield of(record, letter, line, f"{vessel.id} has {', '.join(told) or 'no lamp'}")


def a_lamp_is_off_only_in_its_hours(record: Record) -> Iterator[Finding]:
    """And only while it is dark; "still on" only outside them."""
    for letter in record.letters if record.english else ():
        off, stays = (p.pattern.search(letter.subject) for p in (phrases.LAMP_OFF, phrases.LAMP_STAYS))
        for vessel in record.station.vessels if off or stays else ():
            if not letter.facts(vessel.id):
                continue
            lit_hours = any(in_hours(span, record.local(letter.written_at)) for span in vessel.lamp)
            light = record.light_of(vessel)
            last = None if light is None else light[0].last(letter.written_at)
            clock = record.local(letter.written_at).strftime("%H:%M")
            if off and not lit_hours:
                but = f"at {clock} {vessel.id}'s lamp has no hours ({', '.join(hours_in_words(vessel))})"
                yield of(record, letter, letter.subject, but)
            elif off and light and last and last[1] >= light[1]:
                yield of(record, letter, letter.subject, f"{vessel.id} is lit: {last[1]:g} of {light[1]:g}")
            if stays and lit_hours:
                yield of(record, letter, letter.subject, f"at {clock} {vessel.id}'s lamp has its hours")


def switch_off_only_what_is_lit(record: Record) -> Iterator[Finding]:
    """A lamp that is off, by its light or else by its hours, is not asked to be switched off."""
    for letter in record.letters if record.english else ():
        if not any(phrases.SWITCH_OFF.pattern.search(action) for action in letter.actions):
            continue
        vessels = [v for v in record.vessels_about(letter) if v.lamp and letter.facts(v.id)]
        if not any(_lit(record, vessel, letter.written_at) for vessel in vessels):
            names = ", ".join(f"{vessel.id}'s lamp is off" for vessel in vessels)
            yield of(record, letter, "switch the lamp off", names or "no vessel in it has a lamp")


def _lit(record: Record, vessel: Vessel, at: int) -> bool:
    light = record.light_of(vessel)
    last = None if light is None else light[0].last(at)
    if light is not None and last is not None and at - last[0] <= 3600:
        return last[1] >= light[1]
    return any(in_hours(span, record.local(at)) for span in vessel.lamp)
