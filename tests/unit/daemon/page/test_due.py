"""What is due by the page is what a letter would tell of."""

from dataclasses import replace
from pathlib import Path

from daemon.letters.batch_letters import BatchLetters
from daemon.letters.outlooks import Outlooks
from daemon.page.due import due
from daemon.page.glance import glancing
from tests.kit.page_of_shelf import speak
from tests.kit.vessel_at_stage import NAMES, Shelf


def test_a_harvest_on_the_page_is_the_record_that_its_letter_is_written_from(tmp_path: Path) -> None:
    shelf = Shelf(tmp_path)
    speak(shelf)
    shelf.desks.beliefs.write(list(NAMES), shelf.at)
    connection = shelf.desks.store.connection
    told = (shelf.desks.station, connection, shelf.desks.beliefs)
    outlooks = Outlooks(*told, BatchLetters(*told))
    with glancing(tmp_path, lambda _state, _connection: shelf.at) as glance:
        found = {one.vessel: one.harvest for one in due(glance) if one.harvest is not None}
        vessels = {vessel.id: vessel for vessel in glance.station.vessels}
    assert found
    for name, harvest in found.items():
        letter = outlooks.harvest(vessels[name], shelf.at)
        assert letter is not None
        assert harvest == replace(letter, unseen=None)
    assert any(one.growing for one in found.values())
    assert not all(one.growing for one in found.values())
