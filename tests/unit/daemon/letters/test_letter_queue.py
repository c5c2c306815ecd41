"""A letter's foot: its number, and where the local page has an address a link to what it is about."""

from collections.abc import Sequence
from email import message_from_bytes, policy
from email.message import EmailMessage
from pathlib import Path

import pytest

from daemon.letters.letter_queue import LetterQueue
from daemon.store import letters as letter_store
from daemon.store.file import WritingStore
from reports.letters.sample import sample_letter
from tests.kit.report_samples import away
from tests.kit.station import probe, station, table, vessel

CUPS = (vessel("cup-a", "water"), vessel("cup.b", "water-b"))
PROBES = (probe("water"), probe("water-b"))


def queued(folder: Path, about: Sequence[str], *tables: str) -> EmailMessage:
    """A letter about some vessels, as it waits for the post."""
    store = WritingStore(folder, durable=False)
    held = letter_store.hold(store.connection, 0, "cold", "cold", 0, about)
    row = letter_store.one(store.connection, held)
    LetterQueue(station(*PROBES, *CUPS, *tables), store, ["folder"]).add(row, sample_letter(away()), 60)
    message = message_from_bytes(letter_store.message(store.connection, held), policy=policy.default)
    store.close()
    assert isinstance(message, EmailMessage)
    return message


def parts(message: EmailMessage) -> tuple[str, str]:
    plain, html = message.get_body(("plain",)), message.get_body(("html",))
    assert plain is not None
    assert html is not None
    return plain.get_content(), html.get_content()


@pytest.mark.parametrize(
    ("about", "path"),
    [
        (["cup-a"], "/vessel/cup-a"),
        (["cup-a", "cup.b"], "/"),
        (["water"], "/"),
        ([], "/"),
    ],
)
def test_a_letter_links_to_the_vessel_it_is_about_or_to_the_shelf(
    tmp_path: Path, about: list[str], path: str
) -> None:
    page = table("[page]", listen="lan", address="http://naupliad.local:8077")
    plain, html = parts(queued(tmp_path, about, page))
    address = f"http://naupliad.local:8077{path}"
    assert plain.rstrip().splitlines()[-1] == address
    assert f'<a href="{address}">{address}</a>' in html


def test_a_letter_links_nowhere_where_the_page_has_no_address(tmp_path: Path) -> None:
    plain, html = parts(queued(tmp_path, ["cup-a"]))
    assert plain.rstrip().endswith("Letter 1.")
    assert "http" not in html
