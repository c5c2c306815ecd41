"""Plays random histories and tells which invariants their letters break, and how many letters came to whom.

python -m tests.bench.histories --seeds 500 --jobs 2
python -m tests.bench.histories --seed 17 --keep build/17      one of them, read through
python -m tests.bench.histories --cases FOLDER                 stations with tapes, a folder each
python -m tests.bench.histories --stories                      the shipped stories
"""

import argparse
import os
import time
import traceback
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory

from daemon.config import parse_station
from daemon.letter_kinds import PLANNED, UNPLANNED
from daemon.play.story_file import read_story, story_names
from tests.kit.histories.drawn import drawn_history
from tests.kit.histories.history import History, from_folder
from tests.kit.invariants.budget import could_act, could_have_waited, urgent
from tests.kit.invariants.every import INVARIANTS, findings
from tests.kit.invariants.finding import Finding
from tests.kit.invariants.record import Record
from tests.kit.telling import tell

WEEK_S = 7 * 86_400


@dataclass(frozen=True)
class Told:
    """What came of one play, small enough to go from one process to another."""

    name: str
    days: float
    letters: int
    found: dict[str, list[Finding]] = field(default_factory=dict)
    kinds: Counter[tuple[str, str]] = field(default_factory=Counter)  # unplanned, by (state, kind)
    state_s: Counter[str] = field(default_factory=Counter)  # how long a vessel was in each state
    planned: int = 0
    in_vain: Counter[str] = field(default_factory=Counter)  # unplanned, to nobody who could act soon
    early: Counter[str] = field(
        default_factory=Counter
    )  # of these, where a planned letter came before anybody
    failed: str = ""


def told_of(name: str, record: Record) -> Told:
    """The findings and the budget of a play."""
    kinds: Counter[tuple[str, str]] = Counter()
    in_vain: Counter[str] = Counter()
    early: Counter[str] = Counter()
    for letter in record.letters:
        if letter.kind in UNPLANNED and not urgent(record, letter):
            states = sorted({state_of(record, v.id, letter.sent_at) for v in record.vessels_about(letter)})
            kinds[" + ".join(states) or "the station", letter.kind] += 1
            in_vain[letter.kind] += not could_act(record, letter)
            early[letter.kind] += could_have_waited(record, letter)
    state_s: Counter[str] = Counter()
    for at in range(record.began, record.ended, 3600):
        for state in {state_of(record, vessel.id, at) for vessel in record.station.vessels}:
            state_s[state] += 3600
    return Told(
        name,
        (record.ended - record.began) / 86_400,
        len(record.letters),
        findings(record),
        kinds,
        state_s,
        sum(letter.kind in PLANNED for letter in record.letters),
        in_vain,
        early,
    )


def state_of(record: Record, vessel: str, at: int) -> str:
    """What a vessel is at, in a word, as the log and the beliefs have it."""
    set_at = record.set_at(vessel, at)
    if set_at is None:
        before = any(one.vessel == vessel and one.at <= at for one in record.deeds if one.deed == "set")
        return "ended" if before else "nothing set"
    if any(one.deed == "harvest" for one in record.done(vessel, set_at, at, at)):
        return "harvested"
    hatched = record.belief(vessel, "hatched_fraction", at)
    share = 0.0 if hatched is None else hatched.p50
    return "set" if share < 0.05 else "hatching" if share < 0.95 else "hatched"


def _one(history: History, keep: Path | None = None) -> Told:
    with TemporaryDirectory() as passing:
        folder = (keep or Path(passing)) / "out"
        history.play(folder)
        return told_of(history.name, Record(history.station, folder))


def _caught(make: "partial[Told]") -> Told:
    try:
        return make()
    except Exception:
        return Told(str(make.args[0]), 0.0, 0, failed=traceback.format_exc())


def of_seed(seed: int, keep: Path | None = None) -> Told:
    """The random history of a seed."""
    history = drawn_history(seed)
    if keep is not None:
        history.write(keep)
    return _one(history, keep)


def of_case(folder: Path, keep: Path | None = None) -> Told:
    """A station with its tape and care log."""
    history = from_folder(folder)
    if keep is not None:
        history.write(keep)
    return _one(history, keep)


def of_kept(folder: Path) -> Told:
    """What an earlier run kept: for work at the invariants."""
    path = folder / "station.toml"
    station = parse_station(path.read_text(encoding="utf-8"), str(path))
    return told_of(folder.name, Record(station, folder / "out"))


def of_story(name: str, keep: Path | None = None) -> Told:
    """A shipped story."""
    story = read_story(name)
    with TemporaryDirectory() as passing:
        told = tell(name, keep or Path(passing))
        if keep is not None:
            (keep / "station.toml").write_text(story.station_text, encoding="utf-8")
        return told_of(name, Record(story.station, told.left.folder))


def _print(told: Iterable[Told], examples: int, only: str) -> None:
    every = sorted(told, key=lambda one: (one.days, one.name))
    for one in every:
        if one.failed:
            print(f"FAILED {one.name}\n{one.failed}")
    letters = sum(one.letters for one in every)
    bad = {(one.name, finding.where) for one in every for of in one.found.values() for finding in of}
    print(f"{len(every)} plays, {sum(one.days for one in every):.0f} days, {letters} letters")
    print(f"{len(bad)} letters or beliefs broke an invariant\n")
    for name in (name for name in INVARIANTS if only in name):
        found = [(one, finding) for one in every for finding in one.found.get(name, ())]
        print(f"{len(found):5} in {len({one.name for one, _ in found}):4} plays  {name}")
        seen: set[str] = set()
        for one, finding in found:
            if len(seen) < examples and one.name not in seen:
                seen.add(one.name)
                print(f"          {one.name} ({one.days:.1f} days): {finding}")
    _print_budget(every)


def _print_budget(every: Sequence[Told]) -> None:
    kinds, state_s, in_vain, early = (
        Counter[tuple[str, str]](),
        Counter[str](),
        Counter[str](),
        Counter[str](),
    )
    for one in every:
        kinds.update(one.kinds)
        state_s.update(one.state_s)
        in_vain.update(one.in_vain)
        early.update(one.early)
    weeks = sum(one.days for one in every) / 7
    if not weeks:
        return
    print(f"\nUnplanned letters a week, in {weeks:.1f} weeks, without heat that was read above 33 °C:")
    for state, seconds in sorted(state_s.items()):
        of_state = Counter({kind: n for (where, kind), n in kinds.items() if state in where.split(" + ")})
        rates = ", ".join(f"{kind} {n * WEEK_S / seconds:.2f}" for kind, n in of_state.most_common())
        print(f"  {state:12} {of_state.total() * WEEK_S / seconds:5.2f}   {rates}")
    print(f"  all          {kinds.total() / weeks:5.2f}")
    print(f"Planned letters a week, without nightly ones: {sum(one.planned for one in every) / weeks:.2f}")
    vain = ", ".join(f"{kind} {n}" for kind, n in in_vain.most_common() if n)
    print(f"Unplanned to nobody in the room, nor within three hours: {in_vain.total()} ({vain or 'none'})")
    waits = ", ".join(f"{kind} {n}" for kind, n in early.most_common() if n)
    print(f"  of these a planned letter came before anybody did: {early.total()} ({waits or 'none'})")


def _made(arguments: argparse.Namespace) -> Iterator["partial[Told]"]:
    keep = arguments.keep
    if arguments.seed is not None:
        yield partial(of_seed, arguments.seed, keep)
    elif arguments.cases is not None:
        for folder in sorted(path.parent for path in arguments.cases.glob("*/station.toml")):
            yield partial(of_case, folder, keep and keep / folder.name)
    elif arguments.again is not None:
        for folder in sorted(path.parent for path in arguments.again.glob("*/out")):
            yield partial(of_kept, folder)
    elif arguments.stories:
        for name in story_names():
            yield partial(of_story, name, keep and keep / name)
    else:
        for seed in range(arguments.first, arguments.first + arguments.seeds):
            yield partial(of_seed, seed, keep and keep / str(seed))


def main() -> None:
    """Play, and print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--seeds", type=int, default=100, help="how many histories")
    parser.add_argument("--first", type=int, default=0, help="the first seed")
    parser.add_argument("--seed", type=int, help="this one only")
    parser.add_argument("--cases", type=Path, help="a folder of stations with tapes")
    parser.add_argument("--stories", action="store_true", help="the shipped stories")
    parser.add_argument("--again", type=Path, help="a folder that --keep filled")
    parser.add_argument("--jobs", type=int, default=os.cpu_count() or 1)
    parser.add_argument("--keep", type=Path, help="keep what is played here")
    parser.add_argument("--only", default="", help="print invariants whose name holds this")
    parser.add_argument("--examples", type=int, default=3, help="how many of each invariant")
    arguments = parser.parse_args()
    began = time.monotonic()
    with ProcessPoolExecutor(arguments.jobs) as pool:
        told = list(pool.map(_caught, list(_made(arguments))))
    _print(told, 1000 if arguments.seed is not None else arguments.examples, arguments.only)
    print(f"{time.monotonic() - began:.0f} s")


if __name__ == "__main__":
    main()
