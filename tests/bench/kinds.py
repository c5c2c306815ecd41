"""Plays every kind of station, plain and with each failure once, and prints what was told and what was not.

python -m tests.bench.kinds [--days 30] [--jobs 2] [--only tray,cone] [--write docs]

Nothing is asserted: tests/whole/stories/test_kinds.py does that. The same program gives the same page, byte
for byte. `--keep DIR` keeps what is played there, `--letters` prints every letter's subject.
"""

import argparse
import time
from collections import Counter
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from datetime import datetime
from pathlib import Path

from tests.bench.stories import ENDS
from tests.kit.kinds.calendar import ZONE
from tests.kit.kinds.failures import FAILURES
from tests.kit.kinds.stations import KINDS
from tests.kit.kinds.trial import PLAIN, Outcome, trial

BEGINS = "<!-- written by tests/bench/kinds.py, up to the end mark -->"


def main() -> None:
    """Play, print, and write where asked."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--days", type=int, default=30, help="how many plain days")
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--only", default=",".join(KINDS), help="kinds of stations, with commas")
    parser.add_argument("--failures", default=";".join((PLAIN, *FAILURES)), help="which, with semicolons")
    parser.add_argument("--write", type=Path, metavar="DOCS", help="folder of the documentation")
    parser.add_argument("--keep", type=Path, metavar="DIR")
    parser.add_argument("--letters", action="store_true")
    asked = parser.parse_args()
    began = time.monotonic()
    wanted = asked.failures.split(";")
    pairs = [(kind, what) for what in wanted for kind in asked.only.split(",") if applies(kind, what)]
    pairs.sort(key=lambda pair: (pair[1] != PLAIN, pair[0] != "six cups"))  # the longest first
    with ProcessPoolExecutor(asked.jobs) as pool:
        running = [
            pool.submit(trial, kind, what, asked.days, asked.keep and asked.keep / f"{kind} {what}")
            for kind, what in pairs
        ]
        outcomes = {}
        for pair, future in zip(pairs, running, strict=True):
            outcomes[pair] = future.result()
            print(line(outcomes[pair]), flush=True)
            if asked.letters:
                print_letters(outcomes[pair])
    page_part = table(outcomes, asked.only.split(","), wanted, asked.days)
    print(f"\n{page_part}\n{len(pairs)} trials in {time.monotonic() - began:.0f} s")
    if asked.write:
        path = asked.write / "explanation" / "kinds.md"
        before, rest = path.read_text("utf-8").split(BEGINS)
        path.write_text(f"{before}{BEGINS}\n\n{page_part}\n\n{ENDS}{rest.split(ENDS)[1]}", "utf-8")


def applies(kind: str, failure: str) -> bool:
    """Whether that can go wrong there."""
    return failure == PLAIN or FAILURES[failure].applies(KINDS[kind])


def table(
    outcomes: dict[tuple[str, str], Outcome], kinds: Sequence[str], failures: Sequence[str], days: int
) -> str:
    """A row each failure, a column each kind; the plain days first."""
    heads = ("what goes wrong", *kinds)
    rows = [f"| {' | '.join(heads)} |", f"|{' --- |' * len(heads)}"]
    for failure in failures:
        cells = [cell(outcomes[kind, failure]) if (kind, failure) in outcomes else "–" for kind in kinds]
        name = f"nothing, for {days} days" if failure == PLAIN else f"{failure}"
        rows.append(f"| {name} | {' | '.join(cells)} |")
    tells = "\n".join(f"- **{kind}**: {KINDS[kind].title}." for kind in kinds)
    fails = "\n".join(f"- **{name}**: {FAILURES[name].tell}." for name in failures if name != PLAIN)
    return "\n".join(rows) + f"\n\nThe stations:\n\n{tells}\n\nWhat goes wrong:\n\n{fails}"


def cell(of: Outcome) -> str:
    """What came of one trial, short."""
    false = "; not asked for: " + ", ".join(f"`{x.kind}`" for x in of.not_asked_for)
    unasked = false if of.not_asked_for else ""
    if of.failure == PLAIN:
        well = sum(": all well" in night.subject for night in of.nights)
        said = f"{len(of.nights)} nights, {well} all well, {of.most_planned_a_week} planned in a week at most"
        return said + unasked
    if of.window is None:
        return "nothing to tell" + unasked
    if of.told_h is None:
        late = [one for one in of.answers if of.in_subject in one.subject]
        when = f" (came after {(late[0].at - of.began) / 3600:.1f} h)" if late else ""
        return f"MISSED{when}{unasked}"
    return f"{of.told_h:.1f} h" + (f", and {len(of.again)} again" if of.again else "") + unasked


def line(of: Outcome) -> str:
    """One trial in a line, with what the invariants found."""
    found = {name: [str(one) for one in of_it] for name, of_it in of.telling.found.items()}
    return f"{of.kind}: {of.failure}: {cell(of)} ({of.telling.cost_s:.0f} s)" + (f" {found}" if found else "")


def print_letters(of: Outcome) -> None:
    """Every letter of a trial; nightly ones that are all well only counted."""
    well = Counter(": all well" in one.subject for one in of.nights)[True]
    for letter in of.telling.letters:
        if ": all well" not in letter.subject:
            when = datetime.fromtimestamp(letter.at, ZONE)
            print(f"    {when:%a %d %b %H:%M} {letter.kind}: {letter.subject}")
    print(f"    and {well} nights all well")


if __name__ == "__main__":
    main()
