"""How many modules somebody opens to follow one thing through the house: `python -m tests.bench.doors`.

Counts the modules in which a function runs, not those that are loaded: (a) the beat that sends the first
letter about cold, (b) a deed from the command line to a changed belief, where no daemon runs, (c) a night
from the store to its letter and chart, the drawing child included. And all modules, and those that have one
importer.
"""

import argparse
import io
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager, redirect_stdout
from pathlib import Path
from types import FrameType
from typing import Any

from daemon import app
from daemon.cli import naupliad
from daemon.letters.night_record import night_record
from daemon.store import readings as reading_store
from daemon.stored_station import open_station
from reports.chart import child_process as child
from reports.night_json import to_json
from tests.kit.imports import ROOMS, imports, modules

ROOT = Path(app.__file__).resolve().parent.parent
PLAY = ("daemon.play.", "daemon.cli.play", "daemon.playing")  # the simulated room is not the house
STORY = "heating-off"  # cold comes on the second night


@contextmanager
def entered() -> Iterator[set[str]]:
    """The modules of ours in which a function runs meanwhile."""
    found: set[str] = set()
    seen: set[str] = set()

    def note(frame: FrameType, _event: str, _argument: object) -> None:
        code = frame.f_code
        if code.co_name != "<module>" and code.co_filename not in seen:
            seen.add(code.co_filename)
            path = Path(code.co_filename)
            if path.is_relative_to(ROOT) and path.relative_to(ROOT).parts[0] in ROOMS[:3]:
                name = ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")
                if not name.startswith(PLAY):
                    found.add(name)

    sys.setprofile(note)
    try:
        yield found
    finally:
        sys.setprofile(None)


def first_cold_letter(folder: Path) -> set[str]:
    """The beat that sends it."""
    beat, found = app.House.beat, []

    def followed(house: app.House, at: int) -> None:
        if found:
            beat(house, at)
            return
        with entered() as modules_run:
            beat(house, at)
        if any(row.kind == "cold" for row in house.letters_sent_after(0)):
            found.append(set(modules_run))

    app.House.beat = followed  # type: ignore[method-assign]
    try:
        command("rehearse", STORY, "--out", str(folder), "--replace")
    finally:
        app.House.beat = beat  # type: ignore[method-assign]
    return found[0]


def command(*words: str) -> None:
    """A command of ours, in this process."""
    with redirect_stdout(io.StringIO()):
        naupliad.main(list(words), standalone_mode=False)


def deed(folder: Path) -> set[str]:
    """`naupliad care add`, where no daemon runs."""
    station, connection = open_station(folder)
    connection.close()
    with entered() as found:
        command(
            "care", "add", station.vessels[0].id, "top-up", "5", "--detail", "to=mark", "--state", str(folder)
        )
    return found


def night(folder: Path, out: Path) -> set[str]:
    """`naupliad report`, and what its child does."""
    with entered() as found:
        command("report", "--state", str(folder), "--out", str(out))
    station, connection = open_station(folder)
    record = night_record(station, connection, reading_store.newest_at(connection) or 0)
    connection.close()
    return found | drawn(lambda: child.main([str(out / "again.png")]), to_json(record))


def drawn(draw: Callable[[], Any], record: str) -> set[str]:
    """What runs where the chart is drawn from a record as JSON on standard input."""
    sys.stdin = io.TextIOWrapper(io.BytesIO(record.encode()))
    with entered() as found:
        draw()
    return found


def main() -> None:
    """Print them."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--names", action="store_true", help="name the modules too")
    names = parser.parse_args().names
    with tempfile.TemporaryDirectory() as scratch:
        state, out = Path(scratch) / "state", Path(scratch) / "report"
        rows = {"(a) first cold letter": first_cold_letter(state), "(b) a deed": deed(state)}
        rows["(c) a night"] = night(state, out)
    for what, found in rows.items():
        print(f"{what}: {len(found)} modules")
        if names:
            print("  " + "\n  ".join(sorted(found)))
    ours = {name: path for name, path in modules().items() if not name.startswith("tests.")}
    files = {name: path for name, path in ours.items() if path.name != "__init__.py"}
    importers = dict.fromkeys(files, 0)
    for path in ours.values():
        for name in imports(path) & files.keys():
            importers[name] += 1
    lines = sum(len(path.read_text("utf-8").splitlines()) for path in ours.values())
    single = sum(1 for count in importers.values() if count == 1)
    print(f"{len(ours)} modules ({len(files)} without __init__), {lines} lines, {single} with one importer")


if __name__ == "__main__":
    main()
