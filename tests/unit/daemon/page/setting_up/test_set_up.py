"""The guided set-up, form by form, beside the daemon's own desk, on a tree laid out as the kernel does."""

import json
import re
import time
from collections.abc import Iterator
from contextlib import closing
from functools import partial
from html import unescape
from pathlib import Path

import pytest

from daemon.commissioning import machine as machines
from daemon.config import read_station
from daemon.page.first_plan import PAGE_FIRST
from daemon.page.guard.pin import page_folder
from daemon.page.setting_up.draft import FILE_NAME
from daemon.store import readings as reading_store
from daemon.store import runs as run_store
from daemon.store.file import WritingStore
from sensors.reading import Quality, Reading
from tests.kit.command_line import until
from tests.kit.file_machine import PlayedTime
from tests.kit.page_station import OWN, PIN, main_of
from tests.kit.setting_up import CUP, LAMP, ROOM, ROOM_FORM, WATER, SetUp
from tests.kit.sysfs import attach, lay, slave_text


@pytest.fixture
def environ() -> dict[str, str]:
    return {}


@pytest.fixture
def secrets() -> dict[str, str]:
    return {}


@pytest.fixture
def set_up(
    tmp_path: Path, environ: dict[str, str], secrets: dict[str, str], monkeypatch: pytest.MonkeyPatch
) -> Iterator[SetUp]:
    time = PlayedTime()
    played = partial(machines.Machine, root=tmp_path, monotonic=time.monotonic, sleep=time.sleep)
    monkeypatch.setattr(machines, "Machine", played)
    for number in (WATER, ROOM):
        attach(tmp_path / "sys/bus/w1/devices", number, 21.0, resolution="12", ext_power="1")
    found = SetUp(tmp_path, environ, secrets)
    try:
        yield found
    finally:
        found.close()


def test_six_steps_lead_from_nothing_to_a_file_that_is_right(set_up: SetUp) -> None:
    assert "no station file yet" in set_up.get("/set-up")
    set_up.filled_in()
    kept = set_up.keep()
    assert "The station begins" in main_of(kept)
    station = read_station(set_up.file)
    vessel = station.vessels[0]
    assert (station.name, str(station.timezone), len(station.attended), len(station.away)) == (
        *("Room 12", "Europe/Lisbon"), 1, 1,
    )  # fmt: skip
    assert [(one.id, one.measures.value) for one in station.probes] == [
        ("water", "water_c"),
        ("air", "room_c"),
    ]
    assert (vessel.id, vessel.count, vessel.surface_cm2, vessel.probes) == (
        "otter",
        24,
        38.5,
        ("water", "air"),
    )
    assert "goes by its file" in set_up.get("/set-up")  # and the draft is gone


def test_nothing_of_it_is_shown_or_taken_without_the_pin(set_up: SetUp) -> None:
    set_up.filled_in()
    somebody = set_up.other()
    for path in ("", "/room", "/probes", "/probes/now", "/vessels/1", "/letters", "/page", "/keep", "/begun"):
        answer = somebody.get(f"/set-up{path}")
        assert (answer.status_code, "otter" in answer.text, "Room 12" in answer.text) == (403, False, False)
        assert somebody.post(f"/set-up{path}", data={"name": "x"}, headers=OWN).status_code in (403, 405)
    assert not set_up.file.exists()


def test_what_is_wrong_stands_beside_its_field_in_the_words_of_the_files_check(set_up: SetUp) -> None:
    set_up.filled_in()
    page = set_up.post("/vessels/1", **{**CUP, "mark_ml": "a lot"}, probe=["water"]).text
    assert "found 'a lot'; allowed: a number from 1 to 100000" in unescape(page)
    assert 'value="a lot"' in page  # what was typed is not lost
    assert 'id="mark_ml-fault"' in page
    assert "vessel[1].mark_ml: found 'a lot'" in set_up.get("/set-up/keep")
    assert set_up.keep().status_code == 409
    assert not set_up.file.exists()


def test_a_file_that_was_changed_by_hand_meanwhile_is_not_written_over(set_up: SetUp) -> None:
    set_up.filled_in()
    set_up.file.write_text('[station]\nname = "by hand"\n', encoding="utf-8")
    assert "changed by hand since this set-up was begun" in set_up.get("/set-up/keep")
    assert set_up.keep().status_code == 409
    assert set_up.file.read_text(encoding="utf-8") == '[station]\nname = "by hand"\n'
    set_up.post("/anew")
    assert 'value="by hand"' in set_up.client.get("/set-up/room").text


def test_what_the_set_up_does_not_ask_for_stays_in_the_file(set_up: SetUp) -> None:
    set_up.filled_in()
    set_up.keep()
    text = set_up.file.read_text(encoding="utf-8") + '\n[[lot]] # by hand\nid = "blue tin"\n'
    set_up.file.write_text(text, encoding="utf-8")
    set_up.post("/room", **{**ROOM_FORM, "name": "Room 13"}, **{"attended-day": ["1.0"]})
    set_up.keep()
    now = set_up.file.read_text(encoding="utf-8")
    assert '[[lot]] # by hand\nid = "blue tin"\n' in now
    assert 'name = "Room 13"' in now
    assert read_station(set_up.file).name == "Room 13"


def test_the_probe_in_a_hand_is_the_one_that_gets_warm(set_up: SetUp) -> None:
    first = unescape(set_up.client.get("/set-up/probes").text)
    was = first.partition('data-was="')[2].partition('"')[0]
    folder = set_up.folder / "sys/bus/w1/devices" / ROOM
    (folder / "w1_slave").write_text(slave_text(23 * 16))
    was = set_up.client.get("/set-up/probes").text.partition('data-was="')[2].partition('"')[0]
    again = set_up.client.get("/set-up/probes/now", query_string={"was": unescape(was)}).get_json()
    assert not any(one["held"] for one in again.values())  # begun anew, it was that warm
    (folder / "w1_slave").write_text(slave_text(25 * 16))
    now = set_up.client.get("/set-up/probes/now", query_string={"was": unescape(was)}).get_json()
    held = [number for number, one in now.items() if one["held"]]
    assert len(held) == 1
    assert ROOM in held[0]


@pytest.mark.parametrize("environ", [{PAGE_FIRST: "lan"}])
def test_the_phone_that_sets_it_up_is_not_shut_out_by_the_file_it_keeps(set_up: SetUp) -> None:
    set_up.filled_in()
    set_up.keep()
    assert read_station(set_up.file).page.listen == "lan"


def test_a_daemon_that_does_not_run_is_said_so_with_what_to_do(set_up: SetUp) -> None:
    set_up.close()
    answer = set_up.client.get("/set-up")
    assert answer.status_code == 503
    assert "sudo systemctl start naupliad" in answer.text


def test_a_daemon_that_is_just_beginning_by_the_kept_file_is_no_fault_and_is_looked_for_again(
    set_up: SetUp,
) -> None:
    set_up.close()
    answer = set_up.client.get("/set-up/begun?in=de")
    assert "Die Station" in answer.text  # the browser would have been answered in English
    assert 'data-look-again="/set-up/begun?again&amp;in=de"' in answer.text.replace(
        "again&in", "again&amp;in"
    )
    assert "does not run" not in answer.text


def test_a_file_that_is_no_toml_is_left_alone_until_somebody_begins_without_it(set_up: SetUp) -> None:
    set_up.file.write_text("[station\n", encoding="utf-8")
    assert "cannot be edited here before it is mended by hand" in set_up.get("/set-up")
    set_up.post("/anew", **{"from": "nothing"})
    set_up.filled_in()
    set_up.keep()
    assert read_station(set_up.file).name == "Room 12"
    assert (set_up.folder / "station.toml.before").read_text(encoding="utf-8") == "[station\n"


@pytest.mark.parametrize(
    "path", ["/nowhere", "/vessels/3", "/vessels/0", "/room/x", "/ice/water", "/salt/water"]
)
def test_an_address_that_is_none_is_said_so(set_up: SetUp, path: str) -> None:
    assert set_up.client.get(f"/set-up{path}").status_code == 404


@pytest.mark.parametrize(
    ("path", "form", "shows"),
    [
        ("/room", {**ROOM_FORM, "name": "Room 99"}, 'value="Room 99"'),
        ("/vessels/1", {**CUP, "mark_ml": "251"}, 'value="251"'),
        ("/letters", {"by": "mail", "smtp_host": "mail.school.example"}, 'value="mail.school.example"'),
        ("/page", {"address": "http://shelf.example:8077"}, 'value="http://shelf.example:8077"'),
    ],
)
def test_a_step_filled_in_by_a_session_that_ended_comes_back_after_the_pin(
    set_up: SetUp, path: str, form: dict[str, str], shows: str
) -> None:
    somebody = set_up.other()
    asked = somebody.post(f"/set-up{path}", data={**form, "password": "salt-and-sun"}, headers=OWN)
    assert asked.status_code == 403
    hidden = dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)">', asked.text))
    again = somebody.post(
        "/pin", data={**{key: unescape(value) for key, value in hidden.items()}, "pin": PIN}, headers=OWN
    )
    assert again.status_code == 200
    assert shows in again.text
    assert "salt-and-sun" not in asked.text + again.text
    assert not (page_folder(set_up.state) / FILE_NAME).exists()  # nothing is kept before it is sent


def test_a_label_like_a_persons_name_is_asked_about_before_the_file_is_kept(set_up: SetUp) -> None:
    set_up.filled_in()
    assert "looks like a person" not in set_up.get("/set-up/keep")
    set_up.post("/vessels/2", **{**CUP, "id": "Undine"}, probe=["water"])
    assert "Undine looks like a person's name" in set_up.get("/set-up/keep")
    answered = main_of(set_up.post("/no-names"))
    assert "looks like a person" not in answered
    set_up.keep()
    assert read_station(set_up.file).no_names == ("Undine",)


def test_what_a_thermometer_reads_in_ice_is_taken_into_the_set_up_and_holds_once_it_is_kept(
    set_up: SetUp,
) -> None:
    set_up.filled_in()
    bus = set_up.folder / "sys/bus/w1/devices"
    (bus / WATER / "w1_slave").write_text(slave_text(8))  # half a degree
    assert "crushed ice" in main_of(set_up.post("/ice/water", do="end"))
    set_up.post("/ice/water", do="begin")
    until("there is a verdict", lambda: "Take 0.50 °C off what it reads" in set_up.get("/set-up/ice/water"))
    assert "Another probe is in its check now: water" in set_up.get("/set-up/ice/air")
    taken = main_of(set_up.post("/ice/water", do="take"))
    assert "The correction stands in the set-up" in taken
    assert "offset_c = -0.5" in taken
    assert "crushed ice" in set_up.get("/set-up/ice/water")  # the next may begin
    set_up.keep()
    assert {one.id: one.keys.get("offset_c") for one in read_station(set_up.file).probes} == {
        "water": -0.5, "air": None,
    }  # fmt: skip


def test_a_thermometer_that_reads_right_in_ice_is_left_as_it_is(set_up: SetUp) -> None:
    set_up.filled_in()
    (set_up.folder / "sys/bus/w1/devices" / WATER / "w1_slave").write_text(slave_text(0))
    set_up.post("/ice/water", do="begin")
    until("there is a verdict", lambda: "needs no change" in set_up.get("/set-up/ice/water"))
    shown = set_up.get("/set-up/ice/water")
    assert "what it reads" not in shown
    assert "Correct it" not in shown
    assert "Leave it as it is" in shown


def test_a_light_probe_that_has_seen_the_lamp_off_and_on_gives_its_vessel_a_limit(set_up: SetUp) -> None:
    set_up.filled_in()
    light = json.dumps({"driver": "iio", "device": "bh1750"})
    row = {"use-1": "yes", "place-1": "0", "id-1": "light", "measures-1": "light_lux", "told-1": light}
    cell = set_up.folder / "sys/bus/iio/devices/iio:device0"
    lay(cell, name="bh1750", in_illuminance_input="10")
    set_up.post("/probes", **row)
    set_up.post("/vessels/1", **CUP, **LAMP, probe=["water", "light"])
    set_up.post("/light/light", do="off")
    until("it is dark", lambda: "Now switch the lamp on" in set_up.get("/set-up/light/light"))
    lay(cell, name="bh1750", in_illuminance_input="1000")
    set_up.post("/light/light", do="on")
    until("it is lit", lambda: "Put it into the set-up" in set_up.get("/set-up/light/light"))
    assert "What the light check found" in main_of(set_up.post("/light/light", do="take"))
    set_up.keep()
    assert read_station(set_up.file).vessels[0].low_light_lux == 100.0


MAIL = {
    "by": "mail",
    "smtp_host": "mail.school.example",
    "security": "tls",
    "from": "cups@school.example",
    "to": "teacher@school.example",
}
PASSWORD = "salt and sun 7"


def test_a_password_goes_to_the_daemon_for_that_server_alone_and_stands_nowhere_else(set_up: SetUp) -> None:
    set_up.filled_in()
    told = set_up.post("/letters", **MAIL, password=PASSWORD).text
    assert PASSWORD in (set_up.state / "smtp-password.json").read_text(encoding="utf-8")
    letters = set_up.get("/set-up/letters")
    assert "The password is kept (cups@school.example, mail.school.example)" in letters
    set_up.keep()
    draft = page_folder(set_up.state) / FILE_NAME
    assert not draft.exists()
    assert PASSWORD not in told + letters + set_up.file.read_text(encoding="utf-8")
    for other in ({"smtp_host": "mail.elsewhere.example"}, {"user": "others"}, {"security": "starttls"}):
        set_up.post("/letters", **{**MAIL, **other})
        assert "but for another account (cups@school.example, mail.school" in set_up.get("/set-up/letters")
    set_up.post("/letters", **MAIL, forget="yes")
    assert "No password is kept yet" in set_up.get("/set-up/letters")
    assert not (set_up.state / "smtp-password.json").exists()


def test_a_password_is_not_kept_while_the_server_is_wrong(set_up: SetUp) -> None:
    set_up.filled_in()
    refused = set_up.post("/letters", **{**MAIL, "smtp_host": "no host"}, password=PASSWORD)
    assert refused.status_code == 409
    assert "The password is not kept. Type it once more when this is mended" in main_of(refused)
    assert PASSWORD not in refused.text
    assert not (set_up.state / "smtp-password.json").exists()
    assert 'value="no host"' in set_up.client.get("/set-up/letters").text  # what else was typed is not lost


@pytest.mark.parametrize("secrets", [{"NAUPLIAD_SMTP_PASSWORD_FILE": "/nowhere"}])
def test_where_the_administrator_keeps_a_password_none_is_asked_for(set_up: SetUp) -> None:
    set_up.filled_in()
    assert "kept by this machine's administrator" in set_up.get("/set-up/letters")
    assert 'type="password"' not in set_up.client.get("/set-up/letters").text


def test_all_that_the_machine_needs_is_looked_over_with_what_to_do(set_up: SetUp) -> None:
    set_up.state.chmod(0o755)
    shown = set_up.get("/set-up/checkup")
    wrong, _, in_order = shown.partition("What is in order")
    assert f"state folder {set_up.state}: anybody on this machine may look into it" in wrong
    assert f"sudo chmod o= {set_up.state}" in wrong
    assert "disk :" in in_order


def stamp_in(set_up: SetUp, path: str) -> str:
    """What the form at a path knows the draft by."""
    found = re.search(r'name="of" value="([0-9a-f]+)"', set_up.client.get(path).text)
    assert found is not None
    return found[1]


@pytest.mark.parametrize(
    ("path", "form", "others"),
    [
        ("/room", {**ROOM_FORM, "name": "Room 77"}, {**ROOM_FORM, "name": "Room 55"}),
        ("/vessels/1", {**CUP, "mark_ml": "177"}, {**CUP, "mark_ml": "155"}),
    ],
)
def test_what_another_window_changed_meanwhile_is_not_undone_unseen(
    set_up: SetUp, path: str, form: dict[str, str], others: dict[str, str]
) -> None:
    set_up.filled_in()
    shown = stamp_in(set_up, f"/set-up{path}")
    set_up.post(path, **others, probe=["water"])
    late = set_up.post(path, **form, probe=["water"], of=shown)
    assert late.status_code == 409
    assert "changed meanwhile" in main_of(late)
    assert re.search(r'value="(Room 77|177)"', late.text)  # what was typed is not lost
    assert re.search(r'value="(Room 55|155)"', set_up.client.get(f"/set-up{path}").text)
    again = re.search(r'name="of" value="([0-9a-f]+)"', late.text)
    assert again is not None
    assert set_up.post(path, **form, probe=["water"], of=again[1]).status_code == 200
    assert re.search(r'value="(Room 77|177)"', set_up.client.get(f"/set-up{path}").text)


def test_a_form_that_is_sent_twice_is_no_clash(set_up: SetUp) -> None:
    set_up.filled_in()
    shown = stamp_in(set_up, "/set-up/room")
    form = {**ROOM_FORM, "name": "Room 77"}
    assert [set_up.post("/room", **form, of=shown).status_code for _ in range(2)] == [200, 200]


def test_only_what_was_shown_is_kept(set_up: SetUp) -> None:
    set_up.filled_in()
    shown = stamp_in(set_up, "/set-up/keep")
    set_up.post("/room", **{**ROOM_FORM, "name": "Room 55"}, **{"attended-day": ["1.0"]})
    assert set_up.post("/keep", of=shown).status_code == 409
    assert not set_up.file.exists()
    assert set_up.post("/keep", of=stamp_in(set_up, "/set-up/keep")).status_code == 200
    assert read_station(set_up.file).name == "Room 55"


def test_a_vessel_that_is_called_otherwise_from_now_on_is_told_of_before_the_file_is_kept(
    set_up: SetUp,
) -> None:
    set_up.filled_in()
    assert "is no more in this file" not in set_up.get("/set-up/keep")
    set_up.keep()
    set_up.post("/vessels/1", **{**CUP, "id": "crab"}, probe=["water"])
    assert "otter is no more in this file: its batch" in set_up.get("/set-up/keep")


def test_a_file_that_replaced_another_is_not_called_taken_up_before_the_station_goes_by_it(
    set_up: SetUp,
) -> None:
    set_up.filled_in()
    set_up.keep()
    with closing(WritingStore(set_up.state)) as store:
        now = int(time.time())
        run_store.keep_station_file(store.connection, now, "another")
        reading_store.add(
            store.connection,
            [Reading(now, probe, value, Quality.GOOD) for probe, value in (("water", 21.0), ("air", 20.0))],
        )
        assert "goes by it within a minute or two" in set_up.get("/set-up/begun")
        run_store.keep_station_file(store.connection, now + 1, set_up.file.read_text(encoding="utf-8"))
        assert "The station watches" in set_up.get("/set-up/begun")
        reading_store.add(store.connection, [Reading(now + 2, "air", None, Quality.ABSENT)])
        assert "a probe does not read well" in set_up.get("/set-up/begun")


def test_a_mail_server_is_found_again_by_who_tries_without_mail_and_comes_back(set_up: SetUp) -> None:
    set_up.filled_in()
    set_up.post("/letters", **MAIL)
    set_up.post("/letters", by="files")
    assert "smtp_host" not in set_up.get("/set-up/keep")
    shown = set_up.client.get("/set-up/letters").text
    assert 'value="mail.school.example"' in shown
    assert "teacher@school.example" in shown
