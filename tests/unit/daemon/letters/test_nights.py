"""A night's letter is the same wherever it is made, and comes without its chart where that fails."""

import sys
import threading
from collections.abc import Callable
from pathlib import Path

import pytest

from daemon.config import parse_station
from daemon.letters.night_child import NightsInChild
from daemon.letters.nights import NightAsked, Nights, NightsHere, NightTold
from daemon.letters.post_desk import PostDesk
from daemon.letters.scribe import Scribe
from daemon.post.folder import FolderCarrier
from daemon.store import letters as letter_store
from daemon.store.letters import LetterRow
from daemon.store.runs import keep_station_file
from daemon.workers import InlineWorkers, ThreadWorkers, Workers
from reports.chart.child_process import DrawingError, draw_in_child
from tests.kit.desks import Desks, moment
from tests.kit.station import probe, station_text, vessel

TWENTY = moment(13, "20:00")


TEXT = station_text(
    probe("water", driver="rehearsal"),
    vessel("tray", "water", cold_c=18.0, hot_c=30.0),
    name="Room 7",
    every_s=600,
)


@pytest.fixture
def desks(tmp_path: Path) -> Desks:
    """A station that was cold for some hours of a day, its file in the store."""
    desks = Desks(parse_station(TEXT, "station.toml"), tmp_path, moment(12, "09:00"))
    keep_station_file(desks.store.connection, desks.at, TEXT)
    desks.tell("set", 0.05)
    desks.live(TWENTY, lambda at: 17.0 if moment(13, "02:00") < at < moment(13, "08:00") else 24.0)
    return desks


def in_child(desks: Desks, *child: str) -> NightsInChild:
    return NightsInChild(desks.folder, child=child) if child else NightsInChild(desks.folder)


def asked(desks: Desks) -> NightAsked:
    heated = {vessel.id: desks.beliefs.of(vessel.id).has_heater for vessel in desks.station.vessels}
    return NightAsked(TWENTY, TWENTY, heated)


def test_a_child_makes_the_letter_and_the_chart_that_are_made_here(desks: Desks) -> None:
    here = NightsHere(desks.station, desks.store.connection, desks.folder, draw_in_child)
    made_here = here.begin(asked(desks))()
    made_there = in_child(desks).begin(asked(desks))()
    assert made_there == made_here
    assert made_here.png is not None
    assert "17" in made_here.text.subject


def test_a_chart_that_cannot_be_written_is_told_and_the_words_are_there(desks: Desks) -> None:
    (desks.folder / "charts").write_text("a file where the folder should be")
    told = in_child(desks).begin(asked(desks))()
    assert told.png is None
    assert told.trouble is not None
    assert "charts" in told.trouble
    assert told.text.chart_cid is None


def post_of(desks: Desks, nights: Nights, workers: Workers) -> PostDesk:
    """A post desk that has a night's letter to write and no other."""
    connection = desks.store.connection
    known = (desks.station, connection, desks.beliefs, desks.alarms.watch, desks.batch_letters)
    connection.execute("DELETE FROM delivery")
    connection.execute("DELETE FROM letter")
    letter_store.hold(connection, TWENTY, "nightly", "nightly", TWENTY, [])
    carriers = {"folder": FolderCarrier(desks.folder)}
    return PostDesk(desks.station, desks.store, Scribe(*known, lambda: 0), workers, carriers, nights)


def beat(desks: Desks, post: PostDesk) -> LetterRow:
    """The night's letter after a beat."""
    with desks.store.transaction():
        post.write_due(TWENTY)
    post.hand_over(TWENTY)
    (row,) = letter_store.between(desks.store.connection, TWENTY - 1, TWENTY)
    return row


@pytest.mark.parametrize(
    "program", ["raise SystemExit('no ink left')", "import os; os.abort()", "print('{')"]
)
def test_a_child_that_fails_costs_the_chart_and_not_the_letter(desks: Desks, program: str) -> None:
    row = beat(desks, post_of(desks, in_child(desks, sys.executable, "-c", program), InlineWorkers()))
    assert row.state == "sent"
    assert "17" in row.subject
    assert b"image/png" not in letter_store.message(desks.store.connection, row.id)


def test_a_child_that_fails_says_why(desks: Desks) -> None:
    with pytest.raises(DrawingError, match="no ink left"):
        in_child(desks, sys.executable, "-c", "raise SystemExit('no ink left')").begin(asked(desks))()


@pytest.mark.usefixtures("undrawn")
def test_a_clock_put_right_while_a_night_is_made_has_it_made_anew(desks: Desks) -> None:
    here = NightsHere(desks.station, desks.store.connection, desks.folder, draw_in_child)
    wake = threading.Event()
    workers = ThreadWorkers(wake)

    class Counted:
        begun = 0

        def begin(self, asked: NightAsked) -> Callable[[], NightTold]:
            self.begun += 1
            return here.begin(asked)

    nights = Counted()
    post = post_of(desks, nights, workers)
    try:
        assert beat(desks, post).state == "held"
        assert wake.wait(60)
        post.clock_moved(3600)
        workers.settle()
        wake.clear()
        assert beat(desks, post).state == "held"
        assert wake.wait(60)
        workers.settle()
        assert beat(desks, post).state in ("queued", "sent")
        assert nights.begun == 2
    finally:
        workers.close(1.0)
