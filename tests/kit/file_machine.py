"""A machine made of files, for the commands that look at one: its time is played, its person typed."""

import io
from collections.abc import Callable, Sequence
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path
from typing import Any
from unittest.mock import patch

from daemon.cli import main
from daemon.commissioning.machine import Machine
from tests.kit.command_line import Said

NOON = 1_800_014_400  # 2027-01-15 12:00 UTC


class PlayedTime:
    """Clocks that go on only while somebody sleeps; `happens` is told the seconds gone by."""

    def __init__(self, happens: Callable[[float], None] = lambda _: None) -> None:
        self.gone_s = 0.0
        self.happens = happens
        happens(0.0)

    def now(self) -> float:
        return NOON + self.gone_s

    def monotonic(self) -> float:
        return self.gone_s

    def sleep(self, seconds: float) -> None:
        self.gone_s += seconds
        self.happens(self.gone_s)


class Typing(io.StringIO):
    """Somebody at the keyboard: before each Enter something is done, and then all is typed."""

    def __init__(self, *does: Callable[[], Any]) -> None:
        super().__init__()
        self._does = list(does)

    def readline(self, size: int | None = -1, /) -> str:
        if not self._does:
            return ""  # the end of the input
        self._does.pop(0)()
        return "\n"


def machine(root: Path, time: PlayedTime | None = None, **other: Any) -> Machine:
    """A machine whose files begin at `root`."""
    time = time or PlayedTime()
    usual: dict[str, Any] = {
        "now": time.now,
        "monotonic": time.monotonic,
        "sleep": time.sleep,
        "environ": {},
        "said": lambda _: None,
        "library": lambda _: "1.0",
        "free_bytes": lambda _: 10**10,
        "kernel": lambda: None,
        "patience_s": 60.0,
    }
    return Machine(root, **{**usual, **other})


def naupliad(looked_at: Machine, *words: str | Path, types: Sequence[Callable[[], Any]] = ()) -> Said:
    """Run `naupliad WORDS` against that machine, through the same entry point as the command."""
    out, err = io.StringIO(), io.StringIO()
    code: Any = 0
    told = ["naupliad", *map(str, words)]
    try:
        with (
            redirect_stdout(out),
            redirect_stderr(err),
            patch("sys.stdin", Typing(*types)),
            patch("sys.argv", told),
        ):
            main(looked_at)
    except SystemExit as ended:
        code = ended.code or 0
    return Said(code, out.getvalue(), err.getvalue())
