"""The short-lived child that draws: `python -m reports.render OUT.png`, a record as JSON on standard input.

It limits its own memory and time, writes the whole picture or none, and ends. Exit codes: 0 drawn, 1 not
drawn, 2 wrong use or no record; each but 0 with one line on standard error.
"""

import os
import resource
import sys
from collections.abc import Sequence
from pathlib import Path

from reports.packing import PackingError, from_json

# Measured on x86-64 with a reading a minute: one vessel 102 MB resident, eight 250 MB.
MEMORY_BYTES = 1 << 30
CPU_S = 120
# Before matplotlib is imported: no window system, no threads of OpenBLAS (they cost 40 MB of address space).
_SURROUNDINGS = {"MPLBACKEND": "Agg", "OPENBLAS_NUM_THREADS": "1"}


def main(arguments: Sequence[str]) -> int:
    """Draw the record on standard input into the file named by the one argument."""
    if len(arguments) != 1:
        return _said(2, f"reports.render: found {len(arguments)} arguments; allowed is one, OUT.png")
    _limit_itself()
    try:
        record = from_json(sys.stdin.buffer.read().decode("utf-8"))
    except (PackingError, UnicodeDecodeError) as error:
        return _said(2, str(error))
    try:
        from reports.chart.sheet import draw_night  # only here: the surroundings must stand first

        write_whole(Path(arguments[0]), draw_night(record))
    except (OSError, MemoryError) as error:
        return _said(1, f"{arguments[0]}: not written ({error or 'out of memory'})")
    return 0


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


def _limit_itself() -> None:
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
