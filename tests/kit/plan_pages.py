"""Views that work something out from a form in their address, asked as a browser does."""

import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from urllib.parse import urlencode

from flask.testing import FlaskClient

from daemon.page.experiments.turns import NAME as TURNS
from daemon.page.experiments.turns import Turns
from daemon.page.site import make_site
from daemon.store import runs as run_store
from daemon.store.file import WritingStore


def begun_page(folder: Path, station: str, at: int) -> FlaskClient:
    """The page of a station that has just begun at a moment (Unix s), and whose daemon does not run."""
    store = WritingStore(folder, durable=False)
    with store.transaction() as connection:
        run_store.keep_station_file(connection, at, station)
    store.close()
    site = make_site(folder, moment=lambda _state, _connection: at)
    site.extensions[TURNS] = Turns(lambda: 0.0)  # however slow this machine is, nothing was too much
    return site.test_client()


def view_of(browser: FlaskClient, path: str, **values: str) -> str:
    """The view with a form filled in so."""
    answer = browser.get(f"{path}?{urlencode(values)}")
    assert answer.status_code == 200
    return answer.text


def words(html: str) -> str:
    """What a view says, without its marks, on one line."""
    return " ".join(unescape(re.sub(r"<[^>]*>", " ", html)).split())


def wrong(html: str) -> Iterator[tuple[str, str]]:
    """By field, the line beside it."""
    for name, line in re.findall(r'class="wrong" id="(\w+)-fault"[^>]*>([^<]*)<', html):
        yield name, unescape(line)
