"""M. One action, which the reader can do when the letter comes, and lines that the command takes."""

import re
from collections.abc import Iterator

from click import ClickException

from daemon.errors import InputError
from tests.kit.care_lines import command_in, taken
from tests.kit.invariants import phrases
from tests.kit.invariants.finding import Finding, of
from tests.kit.invariants.record import Record
from tests.kit.invariants.wording import celsius
from tests.kit.letter_bounds import faults

_SLACK = 1.25
_BROKEN = re.compile(r"\bnan\b|\bNone\b|\binf\b|[{}]|about (?:about|between|more|less than)|  \w|−0\.0\b")


def a_letter_asks_for_one_thing(record: Record) -> Iterator[Finding]:
    """Exactly one action stands in each letter but the digest and the sample."""
    for letter in record.letters if record.english else ():
        if letter.kind not in ("digest", "sample") and len(letter.actions) != 1:
            yield of(record, letter, f"“Do this” {len(letter.actions)} times", "a letter asks for one thing")


def it_can_be_done_when_it_is_read(record: Record) -> Iterator[Finding]:
    """Who is not in the room is asked for later."""
    for letter in record.letters if record.english else ():
        there = record.calendar.span_at(letter.written_at) is not None
        for action in letter.actions:
            later = re.match(
                rf"(?:when you (?:are|can)|nothing|before you go|{phrases.MOMENT}|on \w+day|if )", action
            )
            if not there and later is None:
                yield of(record, letter, action[:80], "nobody is in the room")


def care_lines_are_taken(record: Record) -> Iterator[Finding]:
    """A line to copy is one that `naupliad care add` takes."""
    for letter in record.letters if record.english else ():
        for line in (*letter.lines(), *letter.actions):
            command = command_in(line)
            try:
                if command is not None:
                    taken(command, record.station, letter.written_at)
            except (InputError, ClickException) as error:
                yield of(record, letter, command or "", str(error))


def a_letter_is_short(record: Record) -> Iterator[Finding]:
    """It says early what to do, and is little longer than letters may be (tests/kit/letter_bounds).

    Random histories bring together what no weekend does; stories and samples are held to the bounds.
    """
    for letter in record.letters if record.english else ():
        for fault in faults(letter.text, letter.kind, letter.subject, _SLACK):
            yield of(record, letter, fault, "a letter is short")


def no_words_are_broken(record: Record) -> Iterator[Finding]:
    """No "about more than 99 %", and nothing that a program forgot."""
    for letter in record.letters:
        lines = (letter.subject, letter.lead, *letter.actions, *letter.lines())
        found = next((line for line in lines if _BROKEN.search(line)), None)
        if found is not None:
            yield of(record, letter, found[:100], "that is no sentence")


def only_a_probe_of_water_stands_in_it(record: Record) -> Iterator[Finding]:
    """What measures the room or the light does not stand in salt water."""
    wet = {p.id for p in record.station.probes if p.measures.value in ("water_c", "float_low")}
    for letter in record.letters if record.english else ():
        if letter.kind != "probe" or not phrases.STANDS_IN_WATER.pattern.search(letter.flat):
            continue
        named = {p.id for p in record.station.probes if letter.title(p.id)}
        if named and not named & wet:
            yield of(record, letter, "the probe stands in salt water", f"{', '.join(sorted(named))} does not")


def a_leave_letter_asks_against_the_cold_it_foresees(record: Record) -> Iterator[Finding]:
    """What can still be done before they go is asked for, where the middle is past the limit."""
    for letter in record.letters if record.english else ():
        asked = any(phrases.AGAINST_COLD.pattern.search(action) for action in letter.actions)
        for vessel in record.station.vessels if letter.kind == "leave" and not asked else ():
            for line in letter.facts(vessel.id):
                coldest = phrases.COLDEST_AWAY.pattern.search(line)
                if coldest is not None and celsius(coldest[1], coldest[2]) < vessel.cold_c - 0.06:
                    yield of(record, letter, letter.action[:80], f"{vessel.id}: {line}")
