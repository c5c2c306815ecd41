"""L. What is said of a hatch never contradicts what somebody saw, nor how far it is believed to be."""

import re
from collections.abc import Iterator

from tests.kit.invariants import phrases
from tests.kit.invariants.finding import Finding, of
from tests.kit.invariants.letter import Block, Letter, is_about
from tests.kit.invariants.record import Record

_ALL_OUT = 0.9
_DONE = 0.95


def seen_share(record: Record, vessel: str, at: int) -> float | None:
    """What was last seen hatched of the running batch; None where nobody looked. Any swimmer is some.

    Who finds less than somebody saw before says that it was less.
    """
    since = record.set_at(vessel, at)
    if since is None:
        return None
    share = None
    for one in sorted(record.done(vessel, since, at, at), key=lambda done: done.at):
        if one.deed == "hatched":
            share = float(one.amount or 0.0)
        elif one.deed == "first-swimmer" or (one.deed == "count" and one.amount):
            share = max(share or 0.0, 0.01)
    return share


def nobody_is_asked_for_swimmers_that_were_seen(record: Record) -> Iterator[Finding]:
    """No letter says that a hatch is near, late or not told, once swimmers were told."""
    for letter in record.letters if record.english else ():
        later = [part for part in (letter.lead, *letter.lines()) if phrases.HATCH_LATER.pattern.search(part)]
        near = letter.kind == "hatch" and phrases.HATCH_NEAR.pattern.search(letter.lead)
        if not later and not near:
            continue
        said = later[0] if later else letter.lead
        for vessel in record.station.vessels:
            seen = seen_share(record, vessel.id, letter.written_at)
            named = re.search(rf"(?<![\w.-]){re.escape(vessel.id)}(?![\w.-])", said)
            if seen and named and (near or later):
                yield of(record, letter, said[:90], f"{vessel.id}: swimmers were told before")


def all_out_is_not_looked_for(record: Record) -> Iterator[Finding]:
    """ "Look for swimmers" is not said where all of them were seen out."""
    for letter in record.letters if record.english else ():
        if not any(phrases.LOOK_FOR_SWIMMERS.pattern.search(action) for action in letter.actions):
            continue
        shares = [seen_share(record, vessel.id, letter.written_at) for vessel in record.vessels_about(letter)]
        if shares and all(share is not None and share >= _ALL_OUT for share in shares):
            yield of(record, letter, letter.action[:90], "all of it was seen hatched before")


def cold_slows_a_hatch_that_goes_on(record: Record) -> Iterator[Finding]:
    """Not one that is done, nor one that was never begun."""
    for letter in record.letters if record.english else ():
        if letter.kind == "leave":
            yield from _leave(record, letter)
        elif phrases.SLOWER.pattern.search(letter.flat):
            vessels = [v for v in record.vessels_about(letter) if letter.facts(v.id)]
            # Whoever is asked to look for a hatch that should be done may well be told why it is not.
            done = _seen_out if letter.kind == "hatch" else _done
            if vessels and all(done(record, vessel.id, letter.written_at) for vessel in vessels):
                names = ", ".join(vessel.id for vessel in vessels)
                yield of(record, letter, "cold slows the hatch", f"nothing goes on hatching in {names}")


def _leave(record: Record, letter: Letter) -> Iterator[Finding]:
    said = phrases.LATER_IF_COLD.pattern.search(letter.flat)
    for vessel in record.station.vessels if said is not None else ():
        named = said is not None and is_about(Block(said[1], (), ""), vessel.id)
        if named and _done(record, vessel.id, letter.written_at):
            yield of(record, letter, f"{vessel.id}: the hatch comes later", "nothing goes on hatching there")


def _done(record: Record, vessel: str, at: int) -> bool:
    """Whether nothing is left to hatch: seen, believed, or because no batch runs."""
    hatched = record.belief(vessel, "hatched_fraction", at)
    return _seen_out(record, vessel, at) or (hatched is not None and hatched.p50 >= _DONE)


def _seen_out(record: Record, vessel: str, at: int) -> bool:
    """Whether no batch runs, or somebody saw nearly all of it hatched."""
    seen = seen_share(record, vessel, at)
    return record.set_at(vessel, at) is None or (seen is not None and seen >= _ALL_OUT)


def an_outage_delays_only_what_goes_on(record: Record) -> Iterator[Finding]:
    """ "Hatch later by" is said of a hatch that is not done."""
    for letter in record.letters if record.english else ():
        for vessel in record.station.vessels if letter.kind == "outage" else ():
            later = [m for line in letter.facts(vessel.id) if (m := phrases.LATER_BY.pattern.match(line))]
            if later and _done(record, vessel.id, letter.written_at):
                yield of(record, letter, f"{vessel.id}: {later[0][0]}", "nothing goes on hatching there")
