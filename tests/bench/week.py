"""A played week without growth: `python -m tests.bench.week [--days 7]`. Nothing is judged.

The daemon as in tests/bench/station.py, eight probes and four batches, on real files and with real mail; a
cold weekend with nobody there, a mail server that is down all Sunday, a cup whose probes are gone for six
hours on Monday, a chart every night. Looked at every six played hours; growth is told from day 2 on.
"""

import argparse
import statistics
import tempfile
from collections.abc import Callable
from dataclasses import astuple, dataclass, fields
from pathlib import Path

from tests.bench.measuring import compile_all, handles, machine, memory, table, threads
from tests.kit.busy_shelf import BEGAN, DAY_S, Shelf, Tree
from tests.kit.led import Led, led
from tests.kit.mail_server import Desk, free_port, mail_servers

_LOOK_S = 6 * 3600
_OUT_FROM_S, _OUT_UNTIL_S = 4 * DAY_S, 4 * DAY_S + 6 * 3600  # Monday
_POST_DOWN_S, _POST_UP_S = 3 * DAY_S, 4 * DAY_S  # Sunday


@dataclass(frozen=True)
class Look:
    """What one look found; memory in MiB, the store's log in kB."""

    day: float
    resident: float
    own: float
    handles: int
    threads: int
    objects: int
    log_kb: float
    store_mb: float


@dataclass(frozen=True)
class Week:
    """All looks, and how many letters came."""

    looks: list[Look]
    letters: int

    def growth_a_day(self, name: str, since: float = 2.0) -> float:
        """The slope of a figure from a day on, by least squares."""
        later = [look for look in self.looks if look.day >= since]
        return statistics.linear_regression(
            [look.day for look in later], [float(getattr(look, name)) for look in later]
        ).slope


def played(lasts: float, every_s: int = _LOOK_S, module: str = "tests.kit.fast_life") -> Week:
    """So many days, looked at as often as told. `module` is what is run: the daemon in fast time."""
    shelf, desk, port = Shelf(4), Desk(), free_port()
    looks: list[Look] = []
    with tempfile.TemporaryDirectory(prefix="naupliad-week-") as name:
        tree = Tree(Path(name) / "w1", shelf)
        with led(Path(name), shelf, tree, port, module=module) as life:
            for began_s, ended_s, post_is_up in _stretches(round(lasts * DAY_S)):
                with mail_servers() as start:
                    if post_is_up:
                        start(desk, "plain-on-loopback", port)
                    for at_s in range(began_s, ended_s, every_s):
                        life.play(tree, BEGAN + at_s + every_s, each=_hand_on(tree))
                        looks.append(_look(life))
            life.stop()
    return Week(looks, len(desk.taken))


def _stretches(lasts_s: int) -> list[tuple[int, int, bool]]:
    """From when to when, and whether the mail server is there."""
    parts = [(0, _POST_DOWN_S, True), (_POST_DOWN_S, _POST_UP_S, False), (_POST_UP_S, lasts_s, True)]
    return [(began, min(ended, lasts_s), up) for began, ended, up in parts if began < lasts_s]


def _hand_on(tree: Tree) -> Callable[[int], None]:
    """Pulls one cup's probes when their time has come, and plugs them in again."""

    def each(at: int) -> None:
        if at - BEGAN == _OUT_FROM_S:
            tree.pull(0)
        elif at - BEGAN == _OUT_UNTIL_S:
            tree.plug(0)

    return each


def _look(life: Led) -> Look:
    objects, found = life.objects(), memory(life.pid)
    log, store = (life.state / name for name in ("station.db-wal", "station.db"))
    return Look(
        (life.at - BEGAN) / DAY_S,
        found.resident,
        found.own,
        handles(life.pid),
        threads(life.pid),
        objects,
        log.stat().st_size / 1e3,
        store.stat().st_size / 1e6,
    )


def main() -> None:
    """Play, then a row a look and the growth a day."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--days", type=float, default=7.0)
    asked.add_argument("--leaking", action="store_true", help="the check of the check: with a planted leak")
    told = asked.parse_args()
    compile_all()
    if told.days < 3.0:
        asked.error(f"--days: found {told.days:g}; allowed: 3 or more, to tell growth from day 2 on")
    week = played(told.days, module="tests.kit.leaking_life" if told.leaking else "tests.kit.fast_life")
    names = [one.name for one in fields(Look)]
    print(f"{machine()}\n{len(week.looks)} looks, {week.letters} letters came\n")
    growth = ["a day", *(f"{week.growth_a_day(name):+.3f}" for name in names[1:])]
    print(table(names, [*(_cells(look) for look in week.looks), growth]))


def _cells(look: Look) -> list[str]:
    return [f"{value:.2f}" if isinstance(value, float) else str(value) for value in astuple(look)]


if __name__ == "__main__":
    main()
