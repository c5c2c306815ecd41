"""naupliad rehearse and naupliad replay: the real daemon in played time."""

import json
import logging
import signal
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import AbstractContextManager, contextmanager, nullcontext
from datetime import datetime
from itertools import chain, count
from pathlib import Path
from typing import Any

import click

from daemon.app import House
from daemon.care.deed import Deed
from daemon.care.log import read_care_log
from daemon.clock import Wrong
from daemon.config import parse_station
from daemon.input.file import read_text
from daemon.play.story import check
from daemon.play.story_file import read_story, story_names
from daemon.play.story_world import PLENTY_BYTES, Heard, StoryWorld
from daemon.play.tape import TapeBench, read_tape
from daemon.playing import Play, check_folder, play
from daemon.watching.old_hatches import READ_BACK_S
from sensors.reading import Bench

_OUT = click.option("--out", type=click.Path(path_type=Path), help="Folder for what is written.")
_REPLACE = click.option("--replace", is_flag=True, help="Replace an earlier run in that folder.")
_JSON = click.option("--json", "as_json", is_flag=True, help="Print summary.json instead of the account.")


class TapeCast:
    """Recorded readings and a recorded care log."""

    def __init__(self, bench: TapeBench, deeds: Sequence[Deed]) -> None:
        """Deeds in time order."""
        self._bench = bench
        self._deeds = list(reversed(deeds))

    def bench(self) -> Bench:
        """The tape as probes."""
        return self._bench

    def deeds(self, until: int, _house: House) -> list[Deed]:
        """Deeds of the log up to a moment."""
        due = []
        while self._deeds and self._deeds[-1].at <= until:
            due.append(self._deeds.pop())
        return due

    def free_bytes(self, _at: int) -> int:
        """A tape knows nothing of the card it was recorded on."""
        return PLENTY_BYTES

    def network_up(self, _at: int) -> bool:
        """A tape has no network troubles."""
        return True


class StoryCast:
    """A made-up weekend, whose people have read the letters so far."""

    def __init__(self, world: StoryWorld) -> None:
        """Play this world."""
        self._world = world
        self._heard: list[Heard] = []

    def bench(self) -> Bench:
        """The probes of the simulated room."""
        return self._world.bench()

    def deeds(self, until: int, house: House) -> list[Deed]:
        """What the people of the story did up to a moment."""
        self._heard += [
            Heard(row.sent_at or row.at, row.kind, house.advised_above_ml)
            for row in house.letters_sent_after(self._heard[-1].at if self._heard else 0)
        ]
        return self._world.deeds(until, self._heard)

    def free_bytes(self, at: int) -> int:
        """The room left on the played card."""
        return self._world.free_bytes(at)

    def network_up(self, at: int) -> bool:
        """As the story has it."""
        return self._world.network_up(at)


@click.command()
@click.argument("story", default="long-weekend")
@_OUT
@_REPLACE
@_JSON
def rehearse(story: str, out: Path | None, replace: bool, as_json: bool) -> None:
    """Play a made-up weekend: a simulated room, cups and post, through the real daemon at speed.

    STORY is a name (long-weekend when left out) or the path of a story file.
    """
    weekend = read_story(story)
    folder = out or _free_folder(f"rehearsal-{weekend.name}")
    check_folder(folder, replace=replace)
    world = StoryWorld(weekend)
    what = story_play(world)
    if not as_json:
        click.echo(f"{weekend.title}\n\n{click.wrap_text(weekend.tell.strip(), width=76)}\n")
    summary = _played(what, folder)
    _account(summary, folder, as_json=as_json)
    letters = [Heard(_unix(letter["at"]), letter["kind"]) for letter in summary["letters"]]
    broken = check(weekend, letters)
    for line in broken:
        click.echo(line, err=True)
    if broken:
        raise click.exceptions.Exit(1)


rehearse.help = f"{rehearse.help}\n\nStories: {', '.join(story_names())}."


@click.command()
@click.argument("tape", type=click.Path(path_type=Path))
@click.option("--care", type=click.Path(path_type=Path), help="The care log that goes with the tape.")
@click.option("--config", type=click.Path(path_type=Path), required=True, help="The station file.")
@_OUT
@_REPLACE
@_JSON
def replay(
    tape: Path, care: Path | None, config: Path, out: Path | None, replace: bool, as_json: bool
) -> None:
    """Play recorded readings (TAPE, a CSV file) through the real daemon.

    Every probe of the station is read from the tape, whatever its driver. A stretch without rows means
    that the station was off.
    """
    text = read_text(config)
    station = parse_station(text, str(config))
    readings = read_tape(tape, station)
    deeds = read_care_log(care, station, readings.began - READ_BACK_S) if care else []
    folder = out or _free_folder(f"replayed-{tape.stem}")
    check_folder(folder, replace=replace)
    off = readings.off_stretches(station.off_after_s)
    cast = TapeCast(TapeBench(readings), deeds)
    summary = _played(Play(station, text, cast, readings.began, readings.ended, off), folder)
    _account(summary, folder, as_json=as_json)


def story_play(world: StoryWorld) -> Play:
    """A story as a play: its cast, and when its station is off or its clock wrong."""
    story = world.story
    return Play(
        story.station,
        story.station_text,
        StoryCast(world),
        story.begins,
        story.ends,
        world.off_stretches(),
        [Wrong(*stretch) for stretch in world.wrong_stretches()],
    )


def _played(what: Play, folder: Path) -> dict[str, Any]:
    with _on_stage(), _progress(what) as show:
        return play(what, folder, progress=show)


@contextmanager
def _on_stage() -> Iterator[None]:
    """While a play runs, its troubles with the post are no news, and SIGTERM leaves nothing unfinished."""
    log = logging.getLogger("daemon")
    level = log.level
    before = signal.signal(signal.SIGTERM, lambda _number, _frame: sys.exit(128 + signal.SIGTERM))
    log.setLevel(logging.ERROR)
    try:
        yield
    finally:
        log.setLevel(level)
        signal.signal(signal.SIGTERM, before)


def _progress(what: Play) -> AbstractContextManager[Callable[[int], None]]:
    """A bar on a terminal, nothing elsewhere."""
    if not sys.stderr.isatty():
        return nullcontext(lambda _at: None)
    return _Bar(what)


class _Bar:
    """The progress of played time on a terminal."""

    def __init__(self, what: Play) -> None:
        self._bar = click.progressbar(length=what.ended - what.began, label="playing", file=sys.stderr)
        self._at = what.began

    def __enter__(self) -> Callable[[int], None]:
        self._bar.__enter__()
        return self._show

    def __exit__(self, *_error: object) -> None:
        self._bar.render_finish()

    def _show(self, at: int) -> None:
        self._bar.update(at - self._at)
        self._at = at


def _account(summary: dict[str, Any], folder: Path, *, as_json: bool) -> None:
    if as_json:
        click.echo(json.dumps(summary, indent=1, ensure_ascii=False))
        return
    good, expected = summary["readings"]["good"], summary["readings"]["expected"]
    click.echo(f"Read: {good} good readings of {expected} expected.")
    for outage in summary["outages"]:
        click.echo(f"Off:  {_when(outage['began'])} to {_when(outage['ended'])}")
    click.echo("Letters:" if summary["letters"] else "Letters: none; none was due.")
    for letter in summary["letters"]:
        click.echo(f"  {_when(letter['at'])}  {letter['kind']:<8} {letter['subject']}")
    click.echo(f"\nWritten to {folder}:")
    for name in ("charts", "letters"):
        files = sorted((folder / name).glob("*")) if (folder / name).is_dir() else []
        for path in files:
            click.echo(f"  {path.relative_to(folder)}")
    click.echo("  station.db\n  summary.json")


def _when(moment: str) -> str:
    return datetime.fromisoformat(moment).strftime("%a %d %b %H:%M")


def _unix(moment: str) -> int:
    return int(datetime.fromisoformat(moment).timestamp())


def _free_folder(name: str) -> Path:
    """The first of NAME, NAME-2, NAME-3 … that is not there yet."""
    names = chain([name], (f"{name}-{number}" for number in count(2)))
    return next(path for path in map(Path, names) if not path.exists())
