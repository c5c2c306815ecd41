"""What is due at one moment is one letter, about those vessels that it tells of."""

from collections.abc import Callable, Iterable
from pathlib import Path

import pytest

from daemon.letters.nights import NightsHere
from daemon.letters.post_desk import PostDesk
from daemon.letters.scribe import Scribe
from daemon.post.folder import FolderCarrier
from daemon.store import letters as letter_store
from daemon.store.letters import LetterRow
from daemon.workers import InlineWorkers
from reports.chart.child_process import draw_in_child
from tests.kit.desks import HOUR, Desks, moment, tray_station


def write(desks: Desks, at: int, kinds: Iterable[str], *about: str) -> list[LetterRow]:
    """Letters of these kinds that were all held for one moment, after it."""
    connection = desks.store.connection
    known = (desks.station, connection, desks.beliefs, desks.alarms.watch, desks.batch_letters)
    carriers = {"folder": FolderCarrier(desks.folder)}
    scribe = Scribe(*known, lambda: 0)
    nights = NightsHere(desks.station, connection, desks.folder, draw_in_child)
    post = PostDesk(desks.station, desks.store, scribe, InlineWorkers(), carriers, nights)
    connection.execute("DELETE FROM letter")
    for kind in kinds:
        letter_store.hold(connection, at, kind, kind, at, about)
    with desks.store.transaction():
        post.write_due(at)
    post.hand_over(at)
    return letter_store.between(connection, at - 1, at)


def test_letters_about_batches_that_are_due_at_one_moment_are_one(begin: Callable[..., Desks]) -> None:
    """A harvest speaks, since its window closes; the hatch stands at its foot."""
    desks = begin(12, "09:00", kind="cone")
    desks.live(moment(12, "20:00"), lambda _at: 25.0)
    hatch, harvest = write(desks, moment(13, "07:15"), ("hatch", "harvest"), "tray")
    assert (hatch.state, hatch.merged_into) == ("merged", harvest.id)
    assert harvest.subject.startswith("Harvest")
    assert b"Also" in letter_store.message(desks.store.connection, harvest.id)


def test_a_letter_is_about_the_vessels_whose_batch_still_runs(tmp_path: Path) -> None:
    desks = Desks(tray_station("tray", "jar"), tmp_path, moment(12, "09:00"))
    for vessel in ("tray", "jar"):
        desks.tell("set", 0.05, vessel=vessel)
    desks.live(moment(12, "15:00"), lambda _at: 25.0)
    desks.tell("end", vessel="jar")
    (hatch,) = write(desks, moment(12, "15:10"), ("hatch",), "jar", "tray")
    assert hatch.about == ("tray",)


@pytest.mark.usefixtures("undrawn")
def test_a_night_asks_about_a_heater_that_only_the_water_showed(begin: Callable[..., Desks]) -> None:
    desks = begin(12, "09:00", kind="cone")
    assert desks.station.vessels[0].heater_c is None
    desks.live(moment(13, "15:00"), lambda _at: 26.8)
    desks.live(moment(13, "20:00"), lambda at: 26.8 - 9.0 * min(1.0, (at - moment(13, "15:00")) / (3 * HOUR)))
    assert desks.stands("cold")
    (nightly,) = write(desks, moment(13, "20:00"), ("nightly",))
    said = b" ".join(letter_store.message(desks.store.connection, nightly.id).split())
    assert b"look first at tray. Look whether the heater is plugged in" in said
