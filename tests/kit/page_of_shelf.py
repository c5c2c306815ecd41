"""The local page over vessels of each kind at each stage."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from flask.testing import FlaskClient

from daemon.page.site import make_site
from daemon.store import runs as run_store
from tests.kit.vessel_at_stage import NAMES, Shelf, shelf_text


@contextmanager
def page_of_shelf(folder: Path, shelf: Shelf) -> Iterator[FlaskClient]:
    """A browser of the page over a shelf whose store stands in the folder, at the shelf's own time."""
    shelf.desks.beliefs.write(list(NAMES), shelf.at)
    with make_site(folder, moment=lambda _state, _connection: shelf.at).test_client() as browser:
        yield browser


def speak(shelf: Shelf, **spoken: str) -> None:
    """From now on the shelf's station is in another language or unit."""
    run_store.keep_station_file(shelf.desks.store.connection, shelf.at, shelf_text(**spoken))
