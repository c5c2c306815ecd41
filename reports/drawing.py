"""Has a child draw the night chart, so that matplotlib never enters the process that asks."""

import os
import signal
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

from reports.packing import to_json
from reports.records import NightRecord

CHILD = (sys.executable, "-m", "reports.render")
_ROOM = Path(__file__).resolve().parent.parent


class DrawingError(Exception):
    """The chart was not drawn; `reason` says why in one line. The letter goes without it."""

    def __init__(self, reason: str) -> None:
        super().__init__(f"chart: {reason}")
        self.reason = reason


def draw_in_child(
    record: NightRecord, out: Path, timeout_s: float = 120.0, *, child: Sequence[str] = CHILD
) -> None:
    """Draw the record into `out`, or leave `out` as it was and raise DrawingError.

    A child that takes longer than `timeout_s` is ended and its end waited for.
    """
    try:
        done = subprocess.run(  # noqa: S603 - our own module in our own interpreter
            [*child, str(out.resolve())],
            input=to_json(record).encode("utf-8"),
            capture_output=True,
            timeout=timeout_s,
            check=False,
            env=_surroundings(),
        )
    except subprocess.TimeoutExpired as error:
        raise DrawingError(f"the child took longer than {timeout_s:g} s and was ended") from error
    except OSError as error:
        raise DrawingError(f"the child did not start ({error})") from error
    if done.returncode != 0:
        raise DrawingError(_reason(done.returncode, done.stderr.decode("utf-8", "replace")))


def _surroundings() -> dict[str, str]:
    """The parent's own, with this checkout or installation first, wherever the child is started."""
    others = os.environ.get("PYTHONPATH", "")
    return {**os.environ, "PYTHONPATH": os.pathsep.join(part for part in (str(_ROOM), others) if part)}


def _reason(code: int, said: str) -> str:
    if code < 0:
        return f"the child was ended by {_signal(-code)}"
    lines = [line.strip() for line in said.splitlines() if line.strip()]
    return f"the child ended with {code}: {lines[-1][:200] if lines else 'it said nothing'}"


def _signal(number: int) -> str:
    try:
        return signal.Signals(number).name
    except ValueError:
        return f"signal {number}"
