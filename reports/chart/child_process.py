"""The short-lived child that draws, so that matplotlib never enters the process that asks: both its ends.

`draw_in_child` starts it and waits. The child is `python -m reports.chart.child_process OUT.png` (or .svg,
.pdf), a record as JSON on standard input. It limits its own memory and time, writes the whole picture or
none, and ends. Exit codes: 0 drawn, 1 not drawn, 2 wrong use or no record; each but 0 with one line on
standard error.

With `--many` for its argument it draws one chart after another, for `reports.chart.drawing_child`: it is
told a file's name and a record, a line of JSON each, and answers with a line of JSON, an empty text or why
there is no picture.
"""

import json
import os
import resource
import signal
import subprocess
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

from reports.night_json import NightJsonError, from_json, to_json
from reports.records import NightRecord

CHILD = (sys.executable, "-m", "reports.chart.child_process")
MANY = "--many"
FORMS = (".png", ".svg", ".pdf")
_ROOM = Path(__file__).resolve().parents[2]
# Measured on x86-64 with a reading a minute: one vessel 98 MB resident, two 119 MB, 24 of them 121 MB; SVG
# and PDF take less.
MEMORY_BYTES = 1 << 30
CPU_S = 120
TIMEOUT_S = 120.0
# Before matplotlib is imported: no window system, no threads of OpenBLAS (they cost 40 MB of address space).
_SURROUNDINGS = {"MPLBACKEND": "Agg", "OPENBLAS_NUM_THREADS": "1"}


Draw = Callable[[NightRecord, Path], None]


class DrawingError(Exception):
    """The chart was not drawn; `reason` says why in one line. The letter goes without it."""

    def __init__(self, reason: str) -> None:
        super().__init__(f"chart: {reason}")
        self.reason = reason


def draw_in_child(
    record: NightRecord, out: Path, timeout_s: float = TIMEOUT_S, *, child: Sequence[str] = CHILD
) -> None:
    """Draw the record into `out`, or leave `out` as it was and raise DrawingError.

    A child that takes longer than `timeout_s` is ended and its end waited for.
    """
    answer_of([*child, str(out.resolve())], to_json(record), timeout_s)


def answer_of(child: Sequence[str], asked: str, timeout_s: float) -> str:
    """What a child says that is asked something on its standard input; DrawingError where it fails."""
    try:
        done = subprocess.run(  # noqa: S603 - our own module in our own interpreter
            child,
            input=asked.encode("utf-8"),
            capture_output=True,
            timeout=timeout_s,
            check=False,
            env=surroundings(),
        )
    except subprocess.TimeoutExpired as error:
        raise DrawingError(too_long(timeout_s)) from error
    except OSError as error:
        raise DrawingError(not_started(error)) from error
    if done.returncode != 0:
        raise DrawingError(how_it_ended(done.returncode, done.stderr.decode("utf-8", "replace")))
    return done.stdout.decode("utf-8")


def too_long(timeout_s: float) -> str:
    """What is said of a child that was not done in time."""
    return f"the child took longer than {timeout_s:g} s and was ended"


def not_started(error: OSError) -> str:
    """What is said of a child that could not be started."""
    return f"the child did not start ({error})"


def surroundings() -> dict[str, str]:
    """The parent's own, with this checkout or installation first, wherever the child is started."""
    others = os.environ.get("PYTHONPATH", "")
    return {**os.environ, "PYTHONPATH": os.pathsep.join(part for part in (str(_ROOM), others) if part)}


def how_it_ended(code: int, said: str) -> str:
    """How a child ended that was not to, by its code and what it said last."""
    if code < 0:
        return f"the child was ended by {_signal(-code)}"
    lines = [line.strip() for line in said.splitlines() if line.strip()]
    return f"the child ended with {code}: {lines[-1][:200] if lines else 'it said nothing'}"


def _signal(number: int) -> str:
    try:
        return signal.Signals(number).name
    except ValueError:
        return f"signal {number}"


def main(arguments: Sequence[str]) -> int:
    """Draw the record on standard input into the file named by the one argument, or many (`--many`)."""
    if len(arguments) != 1:
        return _said(
            2, f"reports.chart.child_process: found {len(arguments)} arguments; allowed is one, OUT.png"
        )
    if arguments[0] == MANY:
        return _draw_many()
    out = Path(arguments[0])
    if out.suffix not in FORMS:
        return _said(2, f"{out}: found {out.suffix or 'no ending'}; allowed are {', '.join(FORMS)}")
    limit_itself()
    try:
        record = from_json(sys.stdin.buffer.read().decode("utf-8"))
    except (NightJsonError, UnicodeDecodeError) as error:
        return _said(2, str(error))
    reason = _not_drawn(record, out)
    return _said(1, reason) if reason else 0


def _draw_many() -> int:
    limit_itself()
    while line := sys.stdin.buffer.readline():
        out, record = Path(json.loads(line)), from_json(sys.stdin.buffer.readline().decode("utf-8"))
        sys.stdout.write(json.dumps(_not_drawn(record, out)) + "\n")
        sys.stdout.flush()
    return 0


def _not_drawn(record: NightRecord, out: Path) -> str:
    """Draw; why there is no picture, or nothing."""
    try:
        from reports.chart.night_chart import draw_night  # only here: the surroundings must stand first

        write_whole(out, draw_night(record, out.suffix[1:]))
    except (OSError, MemoryError) as error:
        return f"{out}: not written ({error or 'out of memory'})"
    return ""


def write_whole(out: Path, content: bytes) -> None:
    """Write the file so that a reader, or a power cut, meets the old one or the new one, never half of it."""
    draft = out.with_name(f".{out.name}.{os.getpid()}")
    try:
        with draft.open("wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        draft.replace(out)
    finally:
        draft.unlink(missing_ok=True)


def limit_itself() -> None:
    """Bound this process in memory and time, and set what must stand before matplotlib is imported."""
    for limit, most in ((resource.RLIMIT_AS, MEMORY_BYTES), (resource.RLIMIT_CPU, CPU_S)):
        hard = resource.getrlimit(limit)[1]
        soft = most if hard == resource.RLIM_INFINITY else min(most, hard)
        resource.setrlimit(limit, (soft, hard))
    os.environ.update(_SURROUNDINGS)
    cache = os.environ.get("CACHE_DIRECTORY", "").partition(":")[0]  # systemd's, kept from night to night
    if cache:
        os.environ.setdefault("MPLCONFIGDIR", str(Path(cache) / "mpl"))


def _said(code: int, line: str) -> int:
    sys.stderr.write(line + "\n")
    return code


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
