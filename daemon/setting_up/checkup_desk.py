"""The word `checkup`: what `naupliad checkup` finds, by a child that gives its memory back.

It looks at files, and asks the kernel what a chip is called; it opens no pin and reads no probe.
"""

import json
import subprocess
import sys
from collections.abc import Mapping, Sequence
from contextlib import suppress
from typing import Any

from daemon.errors import NaupliadError
from daemon.setting_up.place import SetUpPlace

_CHILD = (sys.executable, "-m", "daemon", "checkup", "--json")
# Who asks has no answer after a minute; a store of years on a slow card may take as long to look through.
_PATIENCE_S = 55.0
_BY_HAND = "allowed: naupliad checkup on the machine itself"


class CheckupDesk:
    """Has a child look the machine over; `end` stops it."""

    def __init__(
        self, place: SetUpPlace, *, child: Sequence[str] = _CHILD, patience_s: float = _PATIENCE_S
    ) -> None:
        """Of the station at that place. A child that has said nothing after `patience_s` is killed."""
        where = ("--config", str(place.config), "--state", str(place.state))
        self._command = [*child, *where]
        self._patience_s = patience_s
        self._child: subprocess.Popen[str] | None = None
        self._ended = False

    def answer(self, _words: Mapping[str, Any]) -> dict[str, Any]:
        """The findings. Raises NaupliadError in one line where the child gives none."""
        with subprocess.Popen(  # noqa: S603 - the command is our own, without a shell
            self._command,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        ) as child:
            self._child = child
            if self._ended:
                child.kill()
            try:
                out, said = child.communicate(timeout=self._patience_s)
            except subprocess.TimeoutExpired:
                child.kill()
                late = f"checkup: found nothing within {self._patience_s:g} s; {_BY_HAND}"
                raise NaupliadError(late) from None
            finally:
                self._child = None
        with suppress(ValueError):
            findings = json.loads(out)
            if isinstance(findings, list):
                return {"findings": findings}
        why = said.strip().split("\n")[-1] or f"it ended with {child.returncode}"
        raise NaupliadError(f"checkup: found no answer ({' '.join(why.split())}); {_BY_HAND}")

    def end(self) -> None:
        """Kill the child that is at work, and any that comes: nobody will hear it."""
        self._ended = True
        child = self._child
        if child is not None:
            child.kill()
