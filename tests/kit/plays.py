"""Plays that a run of the tests needs, each played once, however many processes run.

They lie in a folder that the processes share, each beside its lock. Who needs one first plays it; who needs
it meanwhile plays another one that is needed, or waits.
"""

import fcntl
import pickle
import traceback
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Generic, TypeVar

T = TypeVar("T")


class Plays(Generic[T]):
    """Plays by name; `play` makes one of its name and an empty folder, and `needed` are those of this run."""

    def __init__(self, folder: Path, play: Callable[[str, Path], T], needed: Iterable[str] = ()) -> None:
        self._folder, self._play, self._needed = folder, play, tuple(needed)
        self._done: dict[str, T] = {}
        folder.mkdir(parents=True, exist_ok=True)

    def __getitem__(self, name: str) -> T:
        while name not in self._done:
            others = (other for other in self._needed if other not in self._done)
            if not (self._took(name) or any(self._took(other) for other in others)):
                self._took(name, wait=True)
        return self._done[name]

    def all(self, names: Iterable[str]) -> list[T]:
        """All of these, in their order; those that no other process plays just now are played first."""
        told = tuple(names)
        for name in told:
            self._took(name)
        return [self[name] for name in told]

    def _took(self, name: str, *, wait: bool = False) -> bool:
        """Whether the play is there now; not so where another process is at it, and `wait` is not asked."""
        with self._locked(name, wait=wait) as locked:
            if locked and name not in self._done:
                self._done[name] = self._kept(name)
        return locked

    @contextmanager
    def _locked(self, name: str, *, wait: bool) -> Iterator[bool]:
        with (self._folder / f"{name}.lock").open("w") as lock:
            try:
                fcntl.flock(lock, fcntl.LOCK_EX | (0 if wait else fcntl.LOCK_NB))
            except BlockingIOError:
                yield False
            else:
                yield True

    def _kept(self, name: str) -> T:
        kept = self._folder / f"{name}.kept"
        if not kept.exists():
            beside = kept.with_suffix(".part")
            beside.write_bytes(pickle.dumps(self._played(name)))
            beside.rename(kept)  # whole or not there, also where a process is ended at this moment
        play, failed = pickle.loads(kept.read_bytes())
        assert not failed, f"{name} could not be played:\n{failed}"
        return play  # type: ignore[no-any-return]  # pickle forgets it

    def _played(self, name: str) -> tuple[T | None, str]:
        """The play, or how it failed: that would fail as often as it is asked for."""
        folder = self._folder / name
        folder.mkdir()
        try:
            return self._play(name, folder), ""
        except Exception:
            return None, traceback.format_exc()
