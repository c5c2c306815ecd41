"""Where brine is due in the place of plain water, the page notes brine and then the mark."""

import json
import re
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from daemon.science.brine import salinity_in_a_litre
from tests.kit.listening_desks import (
    BEGAN,
    NOW,
    Listening,
    Phone,
    leave_a_day,
    listening,
    page_of,
    shelf_text,
)
from tests.kit.page_station import main_of

HOUR = 3600


@pytest.fixture(scope="module")
def left(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("left")
    leave_a_day(folder, shelf_text())
    return folder


@pytest.fixture
def daemon(left: Path, tmp_path: Path) -> Iterator[Listening]:
    with listening(shutil.copytree(left, tmp_path / "state")) as made:
        yield made


@pytest.fixture
def page(daemon: Listening) -> Phone:
    """The page of a cup that was set with 25 g in a litre of water."""
    made = page_of(daemon.state)
    send(made, "set", amount="0.05", salt_g_per_l="25", when=str(BEGAN))
    return made


def send(page: Phone, choice: str, **fields: Any) -> str:
    """The form of a choice filled in and sent; where the echo stands."""
    address = f"/do/cup/{choice}"
    answer = page.post(address, data={"once": page.key_on(address), **fields})
    assert answer.status_code == 303, main_of(answer)
    return str(answer.location)


def filled_in(form: str) -> dict[str, str]:
    """What stands in a form's fields."""
    return dict(re.findall(r'name="(amount|salt_g_per_l|to)" value="([^"]*)"', form))


def first_button(page: Phone) -> str:
    found = re.search(r'name="deed" value="([^"]+)"', page.get("/do/cup").text)
    assert found
    return found[1]


@pytest.mark.parametrize("drawn_ml", [60, 100, 180])
def test_after_a_harvest_the_fill_button_and_form_note_brine_and_then_the_mark(
    daemon: Listening, page: Phone, drawn_ml: int
) -> None:
    send(page, "harvest", amount=str(drawn_ml), when=str(NOW - HOUR))
    assert first_button(page) == ("refill" if drawn_ml < 125 else "end")
    assert 'value="fill"' not in page.get("/do/cup").text
    asked = page.get("/do/cup/fill?when=now")
    assert (asked.status_code, asked.location) == (303, "/do/cup/refill?when=now")
    form = page.get(asked.location)
    values = filled_in(form.text)
    assert values["salt_g_per_l"] == "25"
    assert drawn_ml <= float(values["amount"]) < drawn_ml + 30
    assert "to" not in values
    assert "25 g" in main_of(form) or "g of your salt" in main_of(form)
    echo = send(page, "refill", **values)
    assert echo == "/done/3,4"
    brine, mark = [(row[2], row[3], json.loads(row[4])) for row in daemon.rows()[2:]]
    assert brine == ("brine", float(values["amount"]), {"salt_g_per_l": 25.0})
    assert mark == ("top-up", 0.0, {"to": "mark"})
    # What evaporated beside what was drawn off makes it a little saltier than it was set; salt is conserved.
    salt = daemon.believed("cup")["salinity_g_per_kg"].p50
    assert salinity_in_a_litre(25.0) - 0.3 < salt < salinity_in_a_litre(25.0) + 3.0
    assert abs(daemon.believed("cup")["loss_ml"].p50) < 4.0
    assert "harvested" not in daemon.stage("cup")
    page.post(f"{echo}/back")
    assert [row[6] for row in daemon.rows()] == [0, 0, 1, 1]


def test_where_plain_water_is_due_it_stays_plain_water(daemon: Listening, page: Phone) -> None:
    assert page.get("/do/cup/fill").status_code == 200
    send(page, "fill", amount="8")
    assert [row[2] for row in daemon.rows()] == ["set", "top-up"]


def test_a_form_sent_twice_is_two_entries_and_no_more(daemon: Listening, page: Phone) -> None:
    send(page, "harvest", amount="100")
    key = page.key_on("/do/cup/refill")
    data = {"once": key, "amount": "100", "salt_g_per_l": "25"}
    first = page.post("/do/cup/refill", data=data).location
    assert page.post("/do/cup/refill", data=data).location == first
    # A page that was restarted asks the store.
    assert page_of(daemon.state).post("/do/cup/refill", data=data).location == first
    assert [row[2] for row in daemon.rows()] == ["set", "harvest", "brine", "top-up"]


def test_what_is_wrong_with_the_brine_notes_nothing(daemon: Listening, page: Phone) -> None:
    send(page, "harvest", amount="100")
    key = page.key_on("/do/cup/refill")
    good = {"once": key, "amount": "100", "salt_g_per_l": "25"}
    for name, wrong in (("amount", "lots"), ("amount", ""), ("salt_g_per_l", "900")):
        answer = page.post("/do/cup/refill", data={**good, name: wrong})
        assert answer.status_code == 422
        assert f'id="{name}-fault"' in answer.text
    assert len(daemon.rows()) == 2


def said_after(page: Phone, choice: str, **fields: str) -> str:
    return main_of(page.get(send(page, choice, **fields)))


def test_plain_water_for_brine_that_was_drawn_off_is_asked_about(daemon: Listening, page: Phone) -> None:
    """Salt is conserved: of 250 mL of 24.5 g/kg 150 stay, and 100 of plain water make it 14.7 g/kg."""
    send(page, "harvest", amount="100")
    asked = "100 mL of brine were drawn off: was it brine? Plain water leaves about 15 g of salt in a kg"
    for choice, more in (("top-up", {"to": "mark"}), ("top-up", {}), ("fill", {})):
        data = {"once": page.key_on("/do/cup"), "amount": "100", **more}
        echo = page.post(f"/do/cup/{choice}", data=data).location  # of "fill": a form of before
        assert asked in main_of(page.get(echo))
        page.post(f"{echo}/back")
    assert "was it brine" not in said_after(page, "top-up", amount="5")
    assert "was it brine" not in said_after(page, "refill", amount="95", salt_g_per_l="25")
    # From here on nothing is drawn off any more.
    assert "was it brine" not in said_after(page, "fill", amount="8")


def test_plain_water_for_what_evaporated_is_not_asked_about(daemon: Listening, page: Phone) -> None:
    assert "was it brine" not in said_after(page, "fill", amount="12")
