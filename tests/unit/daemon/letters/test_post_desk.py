"""What is due at one moment is one letter."""

from collections.abc import Callable

from daemon.letters.post_desk import PostDesk
from daemon.letters.scribe import Scribe
from daemon.post.folder import FolderCarrier
from daemon.store import letters as letter_store
from daemon.workers import InlineWorkers
from tests.kit.desks import Desks, moment


def test_letters_about_batches_that_are_due_at_one_moment_are_one(begin: Callable[..., Desks]) -> None:
    """A harvest speaks, since its window closes; the hatch stands at its foot."""
    desks = begin(12, "09:00", kind="cone")
    desks.live(moment(12, "20:00"), lambda _at: 25.0)
    known = (desks.station, desks.store.connection, desks.beliefs, desks.alarms.watch, desks.batch_letters)
    carriers = {"folder": FolderCarrier(desks.folder)}
    scribe = Scribe(*known, lambda: 0)
    post = PostDesk(desks.station, desks.store, scribe, InlineWorkers(), carriers, desks.folder)
    desks.store.connection.execute("DELETE FROM letter")
    at = moment(13, "07:15")
    for kind in ("hatch", "harvest"):
        letter_store.hold(desks.store.connection, at, kind, kind, at, ["tray"])
    with desks.store.transaction():
        post.write_due(at)
    hatch, harvest = letter_store.between(desks.store.connection, at - 1, at)
    assert (hatch.state, hatch.merged_into) == ("merged", harvest.id)
    assert harvest.subject.startswith("Harvest")
    assert b"Also" in letter_store.message(desks.store.connection, harvest.id)
