"""The whole page beside a daemon that runs as a process: a deed is in its store, and others are told."""

import time
from pathlib import Path
from typing import Any

from tests.kit.listening_desks import Phone, page_of
from tests.kit.running_daemon import SELDOM_S, care, rehearsing, running


def send(page: Phone, address: str, **fields: str) -> Any:
    return page.post(address, data={"once": page.key_on(address), **fields})


def test_a_deed_from_the_page_stands_in_the_running_daemons_store_until_it_is_taken_back(
    tmp_path: Path,
) -> None:
    with running(rehearsing(tmp_path, SELDOM_S), tmp_path / "state") as daemon:
        page = page_of(daemon.state, now=lambda: int(time.time()))
        assert send(page, "/do/cup/set", amount="0.05", salt_g_per_l="25").status_code == 303
        stirred = send(page, "/do/cup", deed="stir")
        assert daemon.rows("SELECT deed FROM deed ORDER BY id") == [("set",), ("stir",)]
        assert "stirred" in page.get(stirred.location).get_data(as_text=True)
        assert "stirred" in page.get("/vessel/cup").get_data(as_text=True)
        page.post(f"{stirred.location}/back")
        assert "stir" not in care(daemon.state, "list").out
        assert daemon.stop().code == 0
        down = send(page, "/do/cup", deed="stir")
        assert (down.status_code, "The watch is not running" in down.get_data(as_text=True)) == (503, True)
