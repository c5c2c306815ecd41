"""Measures every letter of every shipped story and of the samples, and writes it into the page about letters.

    python -m tests.bench.letters [--jobs 2] [--write docs] [--faults] [--samples]

How long they are, how early they say what to do, and how hard they are to read. Nothing is asserted:
tests/whole/letters/test_bounds.py does that. `--faults` names every letter that passes a bound, `--samples`
plays nothing.
"""

import argparse
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from multiprocessing import Pool
from pathlib import Path
from statistics import median

from daemon.letter_kinds import LETTER_KINDS
from daemon.play.story_file import story_names
from reports.records import LetterText
from tests.kit import german_samples as samples
from tests.kit.letter_bounds import do_at, faults, groups, sentences, words
from tests.kit.letter_pages import NIGHTS, nightly_of, of_each_kind
from tests.kit.reading_age import age_years, coleman_liau, flesch_kincaid, prose_of
from tests.kit.report_samples import away, here
from tests.kit.telling import tell

BEGINS = "<!-- written by tests/bench/letters.py, up to the end mark -->"
ENDS = "<!-- end mark -->"
_HEADS = (
    "letter",
    "how many",
    "words of one group: median, most",
    "words before *Do this*: median, most",
    "longest sentence",
    "reading age: Flesch–Kincaid, Coleman–Liau",
)
# Kinds that hold letters of more than one sort, by their subjects.
_SORTS = (
    ("cold", "cold to come", re.compile(r"Cold .+: about|.*[Cc]old .*likely")),
    ("hot", "heat to come", re.compile(r"Hot .+: about|.*[Hh]eat .*likely")),
    ("lamp", "lamp still on", re.compile(r"Lamp still on")),
    ("lamp", "lamp was dark", re.compile(r"Lamp was")),
    ("water", "salt", re.compile(r"(?!Water: )")),
    ("hatch", "hatch late", re.compile(r"Hatch later|No swimmers")),
    ("storage", "card fails or works again", re.compile(r"Nothing is watched|Station watches")),
    ("storage", "station file", re.compile(r"Mistake")),
    ("storage", "records damaged", re.compile(r"Station's records")),
)


@dataclass(frozen=True, slots=True)
class Measured:
    """One letter, measured."""

    sort: str
    groups: int
    words: int
    do_at: int
    sentence: int
    ages: tuple[float, float]
    faults: tuple[str, ...]
    subject: str
    told: bool


def main() -> None:
    """Play, print, and write where asked."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    asked.add_argument("--jobs", type=int, default=2)
    asked.add_argument("--write", type=Path, metavar="DOCS", help="folder of the documentation")
    asked.add_argument("--faults", action="store_true", help="name what passes a bound")
    asked.add_argument("--samples", action="store_true", help="play nothing")
    told = asked.parse_args()
    with Pool(told.jobs) as pool:
        names = [] if told.samples else story_names()
        letters = [one for some in pool.imap(_of_story, names) for one in some]
    letters += [_measured(one.kind, one.subject, one.text, told=False) for one in _samples()]
    part = page_part(letters)
    print(part)
    for one in letters if told.faults else ():
        for fault in one.faults:
            print(f"{one.sort}: {one.subject}: {fault}")
    if told.write:
        path = told.write / "explanation" / "letters-in-figures.md"
        path.write_text(with_part(path.read_text("utf-8"), part), "utf-8")


def with_part(page: str, part: str) -> str:
    """The page with its generated part written anew; what people wrote around it stays."""
    before, rest = page.split(BEGINS)
    _, after = rest.split(ENDS)
    return f"{before}{BEGINS}\n\n{part}\n\n{ENDS}{after}"


def page_part(letters: Sequence[Measured]) -> str:
    """A row a sort of letter, in the order of ranks, and the sums under them."""
    order = [*LETTER_KINDS, *(sort for _, sort, _ in _SORTS)]
    sorts = sorted({one.sort for one in letters}, key=lambda sort: (_kind_of(sort), order.index(sort)))
    head = f"| {' | '.join(_HEADS)} |\n|{' --- |' * len(_HEADS)}"
    rows = "\n".join(_row(sort, [one for one in letters if one.sort == sort]) for sort in sorts)
    return f"{head}\n{rows}\n\n{_sums(letters)}"


def _kind_of(sort: str) -> int:
    kinds = [*LETTER_KINDS]
    kind = next((kind for kind, name, _ in _SORTS if name == sort), sort)
    return kinds.index(kind)


def _row(sort: str, ones: Sequence[Measured]) -> str:
    single = [one.words for one in ones if one.groups == 1] or [one.words for one in ones]
    name = f"`{sort}`" if sort in LETTER_KINDS else sort
    cells = (
        name,
        str(len(ones)),
        f"{median(single):.0f}, {max(single)}",
        f"{median(one.do_at for one in ones):.0f}, {max(one.do_at for one in ones)}",
        str(max(one.sentence for one in ones)),
        f"{_age(ones, 0):.1f}, {_age(ones, 1):.1f}",
    )
    return f"| {' | '.join(cells)} |"


def _age(ones: Sequence[Measured], formula: int) -> float:
    return median(one.ages[formula] for one in ones)


def _sums(letters: Sequence[Measured]) -> str:
    told = sum(one.told for one in letters)
    beyond = sum(bool(one.faults) for one in letters)
    return (
        f"{told} letters of {len(story_names())} stories and {len(letters) - told} samples; {beyond} of them "
        f"beyond a bound. Median reading age: {_age(letters, 0):.1f} years by Flesch–Kincaid, "
        f"{_age(letters, 1):.1f} by Coleman–Liau."
    )


def _of_story(name: str) -> list[Measured]:
    return [_measured(one.kind, one.subject, one.text, told=True) for one in tell(name).letters]


def _samples() -> Iterator[LetterText]:
    """In the room and away; before they leave somebody is there."""
    for setting in (here(), away()):
        written = [*samples.letters(setting), *of_each_kind(setting).values()]
        yield from (one for one in written if setting.attended_now or one.kind != "leave")
    yield from map(nightly_of, NIGHTS)


def _measured(kind: str, subject: str, text: str, *, told: bool) -> Measured:
    prose = prose_of(text)
    return Measured(
        next((sort for of, sort, pattern in _SORTS if of == kind and pattern.match(subject)), kind),
        groups(text),
        words(text),
        do_at(text) or 0,
        max(map(words, sentences(text))),
        (age_years(flesch_kincaid(prose)), age_years(coleman_liau(prose))),
        tuple(faults(text, kind, subject)),
        subject,
        told,
    )


if __name__ == "__main__":
    main()
