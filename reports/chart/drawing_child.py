"""A child that draws one chart after another, for played time: starting one costs more than a chart.

The daemon has no use for it: its one chart a night is drawn by a child that ends, and gives its memory back.
"""

import json
import subprocess
import tempfile
import threading
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import IO, cast

from reports.chart.child_process import (
    CHILD,
    MANY,
    TIMEOUT_S,
    DrawingError,
    how_it_ended,
    not_started,
    surroundings,
    too_long,
)
from reports.night_json import to_json
from reports.records import NightRecord

# matplotlib keeps some of every chart, and a small Pi takes 4 s for one: a child's time is enough for these.
CHARTS_A_CHILD = 20


@dataclass(frozen=True, slots=True)
class _Started:
    """A child that runs: what it is asked, what it answers, what it says of its faults."""

    process: "subprocess.Popen[bytes]"
    asked: IO[bytes]
    answers: IO[bytes]
    said: IO[bytes]


class DrawingChild:
    """One child for one chart after another. One that fails is ended: the next chart has a new one."""

    def __init__(self, *, child: Sequence[str] = (*CHILD, MANY), charts: int = CHARTS_A_CHILD) -> None:
        """It is started with the first chart, and anew after so many."""
        self._words, self._most = child, charts
        self._child: _Started | None = None
        self._drawn = 0

    def draw(self, record: NightRecord, out: Path, timeout_s: float = TIMEOUT_S) -> None:
        """Draw the record into `out`, or leave `out` as it was and raise DrawingError."""
        if self._drawn >= self._most:
            self.close()
        child = self._child = self._child or _started(self._words)
        self._drawn += 1
        reason = _answer(child, f"{json.dumps(str(out.resolve()))}\n{to_json(record)}\n", timeout_s)
        if reason:
            self.close()
            raise DrawingError(reason)

    def close(self) -> None:
        """End the child, where there is one, and wait for its end."""
        if self._child is not None:
            self._child.process.kill()
            self._child.process.communicate()
            self._child.said.close()
        self._child, self._drawn = None, 0


def _started(words: Sequence[str]) -> _Started:
    said = tempfile.TemporaryFile()  # noqa: SIM115 - closed with its child
    pipe = subprocess.PIPE
    try:
        process = subprocess.Popen(words, stdin=pipe, stdout=pipe, stderr=said, env=surroundings())  # noqa: S603 - our own module in our own interpreter
    except OSError as error:
        said.close()
        raise DrawingError(not_started(error)) from error
    return _Started(process, cast("IO[bytes]", process.stdin), cast("IO[bytes]", process.stdout), said)


def _answer(child: _Started, asked: str, timeout_s: float) -> str:
    """What the child answers; where it ends without an answer, how it ended."""
    late = threading.Event()

    def give_up() -> None:
        late.set()
        child.process.kill()

    timer = threading.Timer(timeout_s, give_up)
    timer.start()
    try:
        child.asked.write(asked.encode("utf-8"))
        child.asked.flush()
        answer = child.answers.readline()
    except BrokenPipeError:
        answer = b""
    finally:
        timer.cancel()
    if answer:
        return str(json.loads(answer))
    if late.is_set():
        return too_long(timeout_s)
    code = child.process.wait(timeout_s)
    child.said.seek(0)
    return how_it_ended(code, child.said.read().decode("utf-8", "replace"))
