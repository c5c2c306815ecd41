"""The long run of the fuzzed readers: `tests/kit/fuzz/targets.py` with as much time as one has.

    python -m tests.bench.fuzz --minutes 10
    python -m tests.bench.fuzz --examples 20000 --only tape

Every target has its part of the time, in a process of its own. Where atheris is installed (the extra `fuzz`)
it looks for inputs that reach new lines of the code; hypothesis alone draws them by chance (`--plain`). A
fault ends its target's run and is shown as small as it was found. Figures are for reading: nothing here
judges how long anything takes.
"""

import argparse
import importlib.util
import json
import logging
import os
import subprocess
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path
from typing import Any

_READ = ["daemon", "sensors", "tomllib", "csv", "json", "email", "http.client", "smtplib"]
_TOLD_LINES = 40
_SEEDS, _SEED_BYTES = 500, 2000


class Tally:
    """What came of a target's inputs, kept in a file: a run that is guided ends without a farewell."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self.tried = self.accepted = self.refused = 0
        self._kept_at = 0.0

    def taken(self, taken: bool) -> None:
        """Count an input that broke nothing."""
        self.accepted += taken
        self.refused += not taken

    def begin(self) -> None:
        """Count an input that is about to be tried."""
        self.tried += 1
        if time.monotonic() - self._kept_at > 0.2:
            self.keep()

    def keep(self) -> None:
        """Write the figures down."""
        self._kept_at = time.monotonic()
        self._path.write_text(json.dumps([self.tried, self.accepted, self.refused]))


def run_by_chance(name: str, folder: Path, tally: Tally, seconds: float, examples: int) -> None:
    """Hypothesis alone, a seed after the other."""
    from hypothesis import seed

    from tests.kit.fuzz.targets import all_targets, trial

    target = all_targets(folder)[name]
    counted = _counted(target, tally)
    ends, number = time.monotonic() + seconds, 0
    while time.monotonic() < ends and tally.tried < examples:
        batch = min(100, examples - tally.tried) / target.share
        seed(time.time_ns() + number)(trial(counted, round(batch), tally.taken, derandomize=False))()
        number += 1
    tally.keep()


def run_guided(name: str, folder: Path, tally: Tally, seconds: float, examples: int) -> None:
    """Atheris, which drives the same hypothesis test by the lines it reaches. Ends the process."""
    import atheris  # type: ignore[import-untyped]  # it ships none

    with atheris.instrument_imports(include=_READ):
        from tests.kit.fuzz.targets import all_targets, trial
    target = _counted(all_targets(folder)[name], tally)
    # The bytes that atheris makes are the choices by which hypothesis draws an input.
    one = trial(target, 1, tally.taken).hypothesis.fuzz_one_input  # type: ignore[attr-defined]  # put there by @given
    limits = [f"-max_total_time={max(1, round(seconds))}", f"-runs={min(examples, 2**31 - 1)}"]
    quiet = [
        "-verbosity=0",
        "-print_final_stats=0",
        f"-artifact_prefix={folder}/",
        "-max_len=4096",
        "-rss_limit_mb=0",
    ]
    atheris.Setup([sys.argv[0], str(_seeds(folder)), *limits, *quiet], lambda data: one(data) and None)
    atheris.Fuzz()


def _seeds(folder: Path) -> Path:
    """Inputs by chance to begin with: from nothing, a guided run finds few that are spoiled much."""
    seeds = folder / "seeds"
    seeds.mkdir()
    for number in range(_SEEDS):
        (seeds / str(number)).write_bytes(os.urandom(_SEED_BYTES))
    return seeds


def _counted(target: Any, tally: Tally) -> Any:
    """The same target, every input counted before it is tried."""

    def meet(given: object) -> bool:
        tally.begin()
        try:
            return bool(target.meet(given))
        except BaseException:
            print(f"input: {given!r}", flush=True)
            raise

    return replace(target, meet=meet)


def _row(name: str, seconds: float, examples: int, how: str) -> tuple[str, str]:
    """A target's run in a process of its own: its line of the table, and its fault or nothing."""
    with tempfile.TemporaryDirectory(prefix="naupliad-fuzz-") as folder:
        tally = Path(folder) / "tally.json"
        words = ["--of", name, "--how", how, "--folder", folder]
        limits = ["--minutes", str(seconds / 60), "--examples", str(examples)]
        line = [sys.executable, "-m", "tests.bench.fuzz", *words, *limits]
        ended = subprocess.run(line, capture_output=True, text=True, errors="replace", check=False)
        tried, accepted, refused = json.loads(tally.read_text()) if tally.exists() else (0, 0, 0)
    fault = ended.returncode != 0
    row = f"| {name} | {tried} | {accepted} | {refused} | {int(fault)} |"
    said = [line for line in (ended.stderr + ended.stdout).splitlines() if not line.startswith("INFO: ")]
    told = "\n".join(said[-_TOLD_LINES:])
    return row, f"{name}:\n{told}" if fault else ""


def main() -> None:
    """Run every target and print the table; exit code 1 where a fault was found."""
    told = argparse.ArgumentParser(prog="python -m tests.bench.fuzz", description=__doc__.partition("\n")[0])
    told.add_argument("--minutes", type=float, default=10.0, help="for all targets together")
    told.add_argument("--examples", type=int, default=2**31 - 1, help="at most so many inputs a target")
    told.add_argument("--only", default="", help="only targets whose name holds this")
    told.add_argument(
        "--plain", action="store_true", help="hypothesis alone, also where atheris is installed"
    )
    for inner in ("--of", "--how", "--folder"):
        told.add_argument(inner, help=argparse.SUPPRESS)
    asked = told.parse_args()
    if asked.of is not None:
        _run_one(asked.of, asked.how, Path(asked.folder), asked.minutes * 60, asked.examples)
        return
    from tests.kit.fuzz.targets import NAMES  # late: a guided run reads everything itself, to see its lines

    guided = not asked.plain and importlib.util.find_spec("atheris") is not None
    names = [name for name in NAMES if asked.only in name]
    print(f"driver: {'atheris' if guided else 'hypothesis alone'}; {asked.minutes:g} min in all\n")
    print("| target | inputs tried | accepted | refused | faults |\n| --- | --- | --- | --- | --- |")
    faults = []
    for name in names:
        row, fault = _row(
            name, asked.minutes * 60 / len(names), asked.examples, "guided" if guided else "chance"
        )
        print(row, flush=True)
        faults += [fault] if fault else []
    print("\n\n".join(["", *faults]))
    sys.exit(1 if faults else 0)


def _run_one(name: str, how: str, folder: Path, seconds: float, examples: int) -> None:
    logging.disable(logging.CRITICAL)
    (folder / "work").mkdir()
    run = run_guided if how == "guided" else run_by_chance
    run(name, folder / "work", Tally(folder / "tally.json"), seconds, examples)


if __name__ == "__main__":
    main()
