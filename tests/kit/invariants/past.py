"""I. What is said of the past was so: outages, figures, batches, and who was there."""

import re
from collections.abc import Iterator

from daemon.station import Vessel
from tests.kit.invariants import phrases
from tests.kit.invariants.finding import Finding, of
from tests.kit.invariants.record import ACTIVE, Record
from tests.kit.invariants.rows import Belief
from tests.kit.invariants.wording import minute, minutes_apart, number, shown

_HOUR_S = 3600
_OF_A_BATCH = ("hatch", "harvest", "feed")


def an_outage_is_as_the_store_has_it(record: Record) -> Iterator[Finding]:
    """From the last reading before to the first one after."""
    ends = [(shown(record.local(b)), shown(record.local(e))) for b, e in record.outages]
    for letter in record.letters if record.english else ():
        written = record.local(letter.written_at)
        for began, ended in phrases.WAS_OFF.pattern.findall(letter.flat):
            said = minute(began, written), minute(ended, written)
            # A night's letter cuts what reaches into its day from before.
            if not any(said == true or (letter.kind == "nightly" and said[1] == true[1]) for true in ends):
                yield of(record, letter, f"off from {said[0]} to {said[1]}", f"the store has {ends}")


def figures_are_believed_at_the_writing(record: Record) -> Iterator[Finding]:
    """The middles of level and salt, and of a nightly letter's hatch, are what the store holds then."""
    for letter in record.letters if record.english else ():
        for vessel in record.station.vessels:
            for line in letter.facts(vessel.id):
                level, salt = phrases.LEVEL.pattern.match(line), phrases.SALT.pattern.match(line)
                if level is not None and (said := _level_ml(level[1])) is not None:
                    near = record.beliefs_around(vessel.id, "loss_ml", letter.written_at, _HOUR_S)
                    slack = 1.0 + 0.01 * vessel.mark_ml
                    yield from _off(record, letter, vessel.id, line, said, near, slack)
                if salt is not None and (
                    likely := re.match(r"(?:most likely|about) (\d+(?:\.\d+)?) g", salt[1])
                ):
                    near = record.beliefs_around(vessel.id, "salinity_g_per_kg", letter.written_at, _HOUR_S)
                    yield from _off(record, letter, vessel.id, line, number(likely[1]), near, 0.3)


def _off(record, letter, vessel, line, said, near: list[Belief], slack) -> Iterator[Finding]:  # type: ignore[no-untyped-def]
    middles = [belief.p50 for belief in near]
    if middles and not min(middles) - slack <= said <= max(middles) + slack:
        believed = f"{min(middles):.1f} to {max(middles):.1f}"
        yield of(record, letter, f"{vessel}: {line}", f"the store has {believed} within an hour of it")


def _level_ml(text: str) -> float | None:
    """The middle of a level in words, as mL below the mark."""
    likely = re.search(r"most likely ([^(]+?)(?: \(|$)", text)
    part = likely[1] if likely else text.removeprefix("about ")
    if part.endswith("at the mark"):
        return 0.0
    amount = re.search(r"(\d+) mL", part)
    if amount is None:
        return None
    above = "above" in (part if re.search("above|below", part) else text)
    return -float(amount[1]) if above else float(amount[1])


def no_figures_without_a_batch(record: Record) -> Iterator[Finding]:
    """Water, salt and hatch are said only of what runs."""
    for letter in record.letters if record.english else ():
        for vessel in record.station.vessels:
            if record.set_at(vessel.id, letter.written_at) is not None:
                continue
            said = [line for line in letter.facts(vessel.id) if phrases.FIGURES.pattern.match(line)]
            if said:
                yield of(record, letter, f"{vessel.id}: {said[0]}", "no batch runs in it")


def letters_of_a_batch_have_one(record: Record) -> Iterator[Finding]:
    """In every language: hatch, harvest and feed are about what runs."""
    for letter in record.letters:
        if letter.kind not in _OF_A_BATCH:
            continue
        for vessel in letter.about:
            if record.vessel(vessel) and record.set_at(vessel, letter.written_at) is None:
                yield of(record, letter, f"{letter.subject}", f"no batch runs in {vessel}")


def nobody_was_there_means_no_deed(record: Record) -> Iterator[Finding]:
    """Whoever recorded a deed was there."""
    for letter in record.letters if record.english else ():
        written = record.local(letter.written_at)
        for began in phrases.NOBODY_SINCE.pattern.findall(letter.flat):
            span = minute(began, written), shown(written)
            done = [
                one
                for one in record.deeds
                if one.known(letter.written_at) and span[0] < shown(record.local(one.at)) < span[1]
            ]
            if done:
                when = shown(record.local(done[0].at))
                yield of(
                    record,
                    letter,
                    f"nobody was there from {span[0]} to {span[1]}",
                    f"{done[0].deed} at {when}",
                )


def a_late_night_is_no_older_than_it_says(record: Record) -> Iterator[Finding]:
    """ "Water last read" of a nightly letter is the last reading there is."""
    pattern = re.compile(rf"Water last read: .*?, ({phrases.MOMENT})")
    for letter in record.letters if record.english else ():
        written = record.local(letter.written_at)
        for vessel in record.station.vessels if letter.kind == "nightly" else ():
            water = record.water_of(vessel)
            said = next((m for line in letter.facts(vessel.id) if (m := pattern.search(line))), None)
            last = None if water is None else water.last_then(letter.written_at)
            if said is None or last is None:
                continue
            if minutes_apart(shown(record.local(last[0])), minute(said[1], written)) > 61:
                yield of(
                    record, letter, f"{vessel.id}: {said[0]}", f"it was read {shown(record.local(last[0]))}"
                )


def an_alarm_stands_since_when_it_says(record: Record) -> Iterator[Finding]:
    """ "Since today at 16:00. Still open": one of the vessel's alarms that stand began then."""
    for letter in record.letters if record.english else ():
        written = record.local(letter.written_at)
        standing = [row for row in record.standing(letter.written_at).values() if row.state in ACTIVE]
        for vessel in record.station.vessels:
            began = {
                shown(record.local(at))
                for row in standing
                if row.vessel == vessel.id and (raised := record.raised(row.key, letter.written_at))
                for at in (raised.at, raised.since, row.since)
                if at is not None
            }
            for line in letter.lines() if letter.kind == "nightly" else ():
                said = phrases.STILL_OPEN.pattern.search(line)
                if said and line.startswith(f"{vessel.id}: ") and minute(said[1], written) not in began:
                    stand = f"those that stand began {sorted(began) or 'never'}"
                    yield of(record, letter, line, stand)


def beyond_since_is_most_of_the_time(record: Record) -> Iterator[Finding]:
    """ "Below 20.0 °C since …": most of what was read since, or how much is said."""
    for letter in record.letters if record.english else ():
        written = record.local(letter.written_at)
        for vessel in record.station.vessels:
            for line in letter.facts(vessel.id):
                found, since = (p.pattern.search(line) for p in (phrases.BEYOND_SINCE, phrases.SINCE_ALL))
                if not found or not since:
                    continue
                began, cold = minute(since[1], written), found[1] == "Below"
                read = _read_since(record, vessel, began, letter.written_at)
                beyond = sum(value < vessel.cold_c if cold else value > vessel.hot_c for value in read)
                if read and beyond < 0.75 * len(read):
                    yield of(record, letter, f"{vessel.id}: {line}", f"{beyond} of {len(read)} readings were")


def _read_since(record: Record, vessel: Vessel, began: str, until: int) -> list[float]:
    water = record.water_of(vessel)
    read = [] if water is None else water.between(until - 14 * 86_400, until)
    return [value for at, value in read if shown(record.local(at)) >= began]
