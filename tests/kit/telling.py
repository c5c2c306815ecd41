"""Plays shipped stories through the real daemon in this process, undrawn, and weighs what was said."""

import logging
import re
import sqlite3
import time
from collections.abc import Callable, Iterable
from contextlib import closing
from dataclasses import dataclass, replace
from pathlib import Path
from tempfile import TemporaryDirectory

from daemon.alarms.conditions import URGENT_C
from daemon.cli.play import story_play
from daemon.hours import local_day, next_absence
from daemon.letter_kinds import PLANNED, UNPLANNED
from daemon.play.story import Call, Limits, Story, check, first_answer
from daemon.play.story_event import StoryEvent
from daemon.play.story_file import read_story, story_names
from daemon.play.story_world import StoryWorld
from daemon.playing import play
from tests.kit.invariants.every import findings
from tests.kit.invariants.letter import text_of
from tests.kit.invariants.record import Record
from tests.kit.played import Left
from tests.kit.undrawn import undrawn

WEEKENDS = ("long-weekend", "plain-weekend", "warm-window")
CLOCKS = ("stale-clock", "summer-time", "winter-time")
TRUST = tuple(name for name in story_names() if name.startswith("trust-"))
# A month takes as long as ten others. What these tell is held in short by unit tests of the letters, and by
# shorter stories of the same trouble.
LONG = frozenset(
    {
        "thirty-days",
        "half-term",
        "feeding",
        "brine-untold",
        "cone-heated",
        "lamp-stays-on",
        "lidded",
        "night-setback",
        "sun-then-grey",
        "sunny-window",
        "probe-unplugged-days",
        "cold-weekend-foreseen",
        "cold-with-warm-hours",
        "window-while-away",
        "above-the-mark",
    }
)
# Of these, tests read the store.
LOOKED_INTO = frozenset({*CLOCKS, *TRUST, "cone-harvested", "probe-unplugged-days"})
WEEK_S = 7 * 86_400
# The handbook's budget for a teacher (common practice, no source).
PLANNED_A_WEEK, UNPLANNED_A_DAY, UNPLANNED_AN_ABSENCE = 3, 1, 2


@dataclass(frozen=True, slots=True)
class Letter:
    """A letter that went out."""

    at: int
    kind: str
    subject: str
    text: str


@dataclass(frozen=True, slots=True)
class Telling:
    """A story that was played: the letters that went out, the promises broken, processor seconds."""

    story: Story
    letters: tuple[Letter, ...]
    deeds: tuple[tuple[int, int, str], ...]  # (at, recorded at, deed)
    broken: tuple[str, ...]
    cost_s: float
    left: Left
    found: dict[str, list[str]]  # what each invariant that was broken found (tests/kit/invariants)

    def of(self, *kinds: str) -> list[Letter]:
        """The letters of these kinds."""
        return [letter for letter in self.letters if letter.kind in kinds]

    @property
    def unplanned(self) -> list[Letter]:
        """Letters that nobody could expect."""
        return self.of(*UNPLANNED)

    @property
    def planned(self) -> list[Letter]:
        """Letters that come by calendar or hatch, without the nightly ones."""
        return self.of(*PLANNED)

    @property
    def budgeted(self) -> list[Letter]:
        """Unplanned letters but for heat past the animals' limit, which is in nobody's budget."""
        return [letter for letter in self.unplanned if not _urgent(letter)]

    @property
    def answers(self) -> list[tuple[StoryEvent, Letter]]:
        """What people did because a letter asked, and the letter."""
        asked = [event for event in self.story.events if event.if_letter is not None]
        return [(event, letter) for event in asked if (letter := self._asked_by(event)) is not None]

    def _asked_by(self, event: StoryEvent) -> Letter | None:
        earliest = event.at - event.within_s
        alike = [x for x in self.of(str(event.if_letter)) if earliest <= x.at < event.at]
        return max(alike, key=lambda letter: letter.at, default=None)

    @property
    def false(self) -> list[Letter]:
        """Unplanned letters that the story calls for nowhere."""
        called = [call for call in self.story.calls if call.at_most != 0]
        return [
            letter
            for letter in self.unplanned
            if not any(call.kind == letter.kind and call.begins <= letter.at <= call.ends for call in called)
        ]

    @property
    def wanted(self) -> list[Call]:
        """The calls that want a letter."""
        return [call for call in self.story.calls if call.at_least > 0]

    def holds(self, call: Call) -> bool:
        """Whether the letters keep what a call says of them."""
        return not check(replace(self.story, calls=(call,), limits=Limits()), self.letters)

    @property
    def weeks(self) -> float:
        """How long the story is; a shorter one than a week counts as a week."""
        return max(1.0, (self.story.ends - self.story.begins) / WEEK_S)

    def lead_s(self, call: Call) -> int | None:
        """From the first letter that answers a call to the moment when it would have been too late."""
        letter = first_answer(call, self.letters)
        return None if letter is None or call.too_late_at is None else call.too_late_at - letter.at


def tell(name: str, kept: Path | None = None) -> Telling:
    """Play a shipped story, or the story of a path, in this process; its folder is `kept`, or gone."""
    return tell_world(StoryWorld(read_story(name)), kept)


def tell_world(world: StoryWorld, kept: Path | None = None) -> Telling:
    """Play the story of a world that nothing has happened in yet; afterwards the world knows the truth."""
    story = world.story
    what = story_play(world)
    began = time.process_time()
    level = logging.getLogger("daemon").level
    logging.getLogger("daemon").setLevel(logging.ERROR)  # a network that a story takes down is no news
    try:
        with TemporaryDirectory() as passing, undrawn():
            folder = (kept or Path(passing)) / "out"
            play(what, folder)
            letters, deeds = _said_and_done(folder / "station.db")
            found = findings(Record(story.station, folder))
    finally:
        logging.getLogger("daemon").setLevel(level)
    broken = tuple(check(story, letters))
    cost_s = time.process_time() - began
    as_said = {name: [str(one) for one in of] for name, of in found.items()}
    return Telling(story, letters, deeds, broken, cost_s, Left(folder), as_said)


def _said_and_done(path: Path) -> tuple[tuple[Letter, ...], tuple[tuple[int, int, str], ...]]:
    with closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True)) as connection:
        letters = connection.execute(
            "SELECT sent_at, kind, subject, message FROM letter WHERE sent_at IS NOT NULL ORDER BY number"
        ).fetchall()
        deeds = connection.execute("SELECT at, recorded_at, deed FROM deed ORDER BY id").fetchall()
    said = tuple(Letter(at, kind, subject, text_of(message)) for at, kind, subject, message in letters)
    return said, tuple(deeds)


def over_budget(told: Telling) -> list[str]:
    """Where the handbook's budget was passed, a line each."""
    station = told.story.station
    days = _counted(told.budgeted, lambda at: local_day(at, station.timezone).isoformat())
    absences = _counted(told.budgeted, lambda at: _absence(told.story, at))
    lines = [f"{n} unplanned on {day}" for day, n in days.items() if n > UNPLANNED_A_DAY]
    lines += [f"{n} unplanned away from {a}" for a, n in absences.items() if a and n > UNPLANNED_AN_ABSENCE]
    at_most = max(
        (sum(1 for one in told.planned if last.at - WEEK_S < one.at <= last.at) for last in told.planned),
        default=0,
    )
    return lines + ([f"{at_most} planned within a week"] if at_most > PLANNED_A_WEEK else [])


def _urgent(letter: Letter) -> bool:
    told_c = re.search(r"(\d+(?:\.\d+)?) °C", letter.subject)
    return letter.kind == "hot" and told_c is not None and float(told_c[1]) > URGENT_C


def _absence(story: Story, at: int) -> str:
    absence = next_absence(story.station, at, 24)
    return (
        ""
        if absence is None or absence[0] > at
        else local_day(absence[0], story.station.timezone).isoformat()
    )


def _counted(letters: Iterable[Letter], place: Callable[[int], str]) -> dict[str, int]:
    counted: dict[str, int] = {}
    for letter in letters:
        counted[place(letter.at)] = counted.get(place(letter.at), 0) + 1
    return counted
