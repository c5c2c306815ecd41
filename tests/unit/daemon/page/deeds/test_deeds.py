"""Every deed from the page: recorded by the daemon, believed, said back, taken back; each form once."""

import html
import json
import re
import shutil
from collections.abc import Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest

from daemon.care.deed import KINDS
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
from tests.kit.recordings import unix

HOUR = 3600


@pytest.fixture(scope="module")
def left(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("left")
    leave_a_day(folder, shelf_text(lots=True))
    return folder


@pytest.fixture
def daemon(left: Path, tmp_path: Path) -> Iterator[Listening]:
    with listening(shutil.copytree(left, tmp_path / "state")) as made:
        yield made


@pytest.fixture
def page(daemon: Listening) -> Phone:
    return page_of(daemon.state)


def text_of(answer: Any) -> str:
    """What is read on a page: its main part without tags."""
    main = re.search(r"<main.*</main>", answer.get_data(as_text=True), re.DOTALL)
    assert main
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", main[0])).split())


def tap(page: Phone, choice: str, vessel: str = "cup", **more: Any) -> Any:
    """One tap on the do view."""
    key = page.key_on(f"/do/{vessel}")
    return page.post(f"/do/{vessel}", data={"deed": choice, "once": key, **more})


def send(page: Phone, choice: str, vessel: str = "cup", **fields: Any) -> Any:
    """The form of a choice, filled in and sent."""
    address = f"/do/{vessel}/{choice}"
    return page.post(address, data={"once": page.key_on(address), **fields})


def noted(answer: Any) -> str:
    """Where the echo stands; the form was taken."""
    assert answer.status_code == 303, text_of(answer)
    assert answer.location.startswith("/done/")
    return str(answer.location)


def begin_batch(page: Phone, vessel: str = "cup") -> None:
    """Set at the beginning of the day that was read."""
    noted(send(page, "set", vessel, amount="0.05", salt_g_per_l="25", when=str(BEGAN)))


# What is filled in, what stands in the store then (amount, detail), and what that changes in the belief.
FORMS: Mapping[str, tuple[dict[str, str], float | None, dict[str, Any], str]] = {
    "fill": ({"amount": "1 1/2 tsp"}, 7.5, {"to": "mark"}, "loss_ml"),
    "top-up": ({"amount": "12,5 ml", "above_ml": "10"}, 12.5, {"above_ml": 10.0}, "loss_ml"),
    "brine": ({"amount": "20", "salt_g_per_l": "150"}, 20.0, {"salt_g_per_l": 150.0}, "salinity_g_per_kg"),
    "remove": ({"amount": "0.05 l"}, 50.0, {}, "loss_ml"),
    "harvest": ({"amount": "60"}, 60.0, {}, "loss_ml"),
    "salt": (
        {"amount": "1.021 sg", "with": "hydrometer", "water_c": "22", "scale_c": "25"},
        1.021,
        {"with": "hydrometer", "water_c": 22.0, "scale_c": 25.0},
        "salinity_g_per_kg",
    ),
    "share": ({"amount": "30%"}, 0.3, {}, "hatched_fraction"),
    "count": (
        {"amount": "40", "volume_ml": "250", "of_cysts": "100"},
        40.0,
        {"volume_ml": 250.0, "of_cysts": 100.0},
        "hatched_fraction",
    ),
    "feed": ({"amount": "50 mg", "food": "yeast"}, 0.05, {"food": "yeast"}, ""),
    "note": ({"text": "lid; cracked = yes"}, None, {"text": "lid; cracked = yes"}, ""),
}
TAPS: Mapping[str, tuple[str, float | None, str]] = {
    "stir": ("stir", None, ""),
    "none-yet": ("hatched", 0.0, "hatched_fraction"),
    "first-swimmer": ("first-swimmer", None, "hatched_fraction"),
    "about-half": ("hatched", 0.5, "hatched_fraction"),
    "nearly-all": ("hatched", 0.9, "hatched_fraction"),
    "cover": ("cover", 1.0, "loss_ml_per_day"),
    "uncover": ("cover", 0.0, ""),
}


def test_every_deed_of_the_care_log_is_noted_by_one_of_these_tests() -> None:
    by_forms = {"fill": "top-up", "salt": "salinity", "share": "hatched"}
    tried = {by_forms.get(choice, choice) for choice in FORMS} | {deed for deed, _, _ in TAPS.values()}
    assert tried | {"set", "end"} == set(KINDS)


@pytest.mark.parametrize("choice", FORMS)
def test_a_form_is_recorded_believed_said_back_and_taken_back(
    daemon: Listening, page: Phone, choice: str
) -> None:
    fields, amount, detail, moved = FORMS[choice]
    begin_batch(page)
    before = daemon.believed("cup")
    asked = page.post("/do/cup", data={"deed": choice, "once": page.key_on("/do/cup")})
    assert (asked.status_code, asked.location) == (303, f"/do/cup/{choice}")
    echo = noted(send(page, choice, **fields))
    row = daemon.rows()[-1]
    assert (row[3], json.loads(row[4]), row[5], row[6]) == (amount, detail, NOW, 0)
    assert (daemon.believed("cup").get(moved) != before.get(moved)) == bool(moved)
    said = text_of(page.get(echo))
    assert re.search(r"^Noted cup: .+, today at 06:00\.", said)
    assert ("was " in said) == bool(moved)
    assert noted(page.post(f"{echo}/back")) == echo
    assert daemon.rows()[-1][6] == 1
    assert daemon.believed("cup") == before
    assert text_of(page.get(echo)).startswith("Taken back cup:")


@pytest.mark.parametrize("choice", TAPS)
def test_one_tap_is_recorded_believed_said_back_and_taken_back(
    daemon: Listening, page: Phone, choice: str
) -> None:
    deed, amount, moved = TAPS[choice]
    begin_batch(page)
    before = daemon.believed("cup")
    echo = noted(tap(page, choice))
    assert daemon.rows()[-1][2:6] == (deed, amount, "{}", NOW)
    assert (daemon.believed("cup").get(moved) != before.get(moved)) == bool(moved)
    said = text_of(page.get(echo))
    assert "Take it back" in said
    assert ("was " in said) == bool(moved)
    noted(page.post(f"{echo}/back"))
    assert daemon.rows()[-1][6] == 1
    assert daemon.believed("cup") == before


def test_setting_and_ending_begin_and_end_a_batch(daemon: Listening, page: Phone) -> None:
    assert daemon.stage("cup") == "nothing set"
    fields = {"amount": "0.2 g/L", "salt_g_per_l": "25", "lot": "spring", "light": "yes", "volume_ml": "200"}
    echo = noted(send(page, "set", **fields, when=str(BEGAN)))
    row = daemon.rows()[-1]
    wanted = {"salt_g_per_l": 25.0, "lot": "spring", "light": "yes", "volume_ml": 200.0}
    assert (row[3], json.loads(row[4]), row[5]) == (0.04, wanted, BEGAN)
    said = text_of(page.get(echo))
    assert "Half expected" in said
    assert "24 hours ago. Is the day right?" in said
    assert "hatched_fraction" in daemon.believed("cup")
    ended = noted(tap(page, "end"))
    assert (daemon.stage("cup"), "hatched_fraction" in daemon.believed("cup")) == ("ended", False)
    noted(page.post(f"{ended}/back"))
    assert daemon.stage("cup") != "ended"
    noted(page.post(f"{echo}/back"))
    assert (daemon.stage("cup"), "hatched_fraction" in daemon.believed("cup")) == ("nothing set", False)


def test_an_entry_is_changed_in_its_own_place_and_keeps_its_time(daemon: Listening, page: Phone) -> None:
    begin_batch(page)
    at = NOW - 2 * HOUR
    echo = noted(send(page, "fill", amount="10", when=str(at)))
    number = echo.rpartition("/")[2]
    shown = page.get(f"/deed/{number}").get_data(as_text=True)
    assert 'name="amount" value="10"' in shown
    assert '<option value="mark" selected>' in shown
    assert re.search(rf'value="{at}" checked> as it was, today at 04:00', shown)
    key = page.key_on(f"/deed/{number}")
    form = {"once": key, "amount": "12", "to": "mark", "when": str(at)}
    changed = noted(page.post(f"/deed/{number}", data=form))
    old, new = daemon.rows()[-2:]
    assert (old[6], new[3], new[5], new[6], new[7]) == (1, 12.0, at, 0, int(number))
    assert "Changed cup: poured in 12 mL of water, today at 04:00." in text_of(page.get(changed))
    assert noted(page.post(f"/deed/{number}", data=form)) == changed
    assert page.get(f"/deed/{number}").location == f"/deed/{new[0]}"
    assert len(daemon.rows()) == 3


def test_a_form_sent_twice_at_once_and_again_is_noted_once(daemon: Listening, page: Phone) -> None:
    key = page.key_on("/do/cup")
    data = {"deed": "stir", "once": key}
    phones = [Phone(page.site).signed_in() for _ in range(8)]
    with ThreadPoolExecutor(4) as fingers:
        taps = [fingers.submit(phone.post, "/do/cup", data) for phone in phones]
        places = {noted(tapped.result()) for tapped in taps}
    assert places == {"/done/1"}
    assert len(daemon.rows()) == 1
    assert noted(page.post("/do/cup", data={**data, "deed": "cover"})) == "/done/2"
    noted(page.post("/do/cup", data=data))
    assert [row[2] for row in daemon.rows()] == ["stir", "cover"]


def test_a_form_sent_again_with_another_amount_is_not_noted_and_says_so(
    daemon: Listening, page: Phone
) -> None:
    key = page.key_on("/do/cup/note")
    first = noted(page.post("/do/cup/note", data={"once": key, "text": "one"}))
    again = noted(page.post("/do/cup/note", data={"once": key, "text": "two"}))
    assert again == f"{first}?again=1"
    assert "What was sent now was not noted" in text_of(page.get(again))
    assert len(daemon.rows()) == 1


def test_a_form_of_before_a_restart_of_the_page_is_noted_once_all_the_same(
    daemon: Listening, page: Phone
) -> None:
    sent = {"once": page.key_on("/do/cup/feed"), "amount": "0.05"}
    fresh = {"once": page.key_on("/do/cup/feed"), "amount": "0.06"}
    first = noted(page.post("/do/cup/feed", data=sent))
    restarted = page_of(daemon.state)
    assert noted(restarted.post("/do/cup/feed", data=sent)) == first
    assert noted(restarted.post("/do/cup/feed", data=fresh)) != first
    assert [row[3] for row in daemon.rows()] == [0.05, 0.06]
    assert "Noted cup: fed 0.05 g" in text_of(restarted.get(first))


def test_a_form_without_a_key_or_of_yesterday_is_shown_once_more(daemon: Listening, page: Phone) -> None:
    old = page.key_on("/do/cup/note")
    tomorrow = page_of(daemon.state, now=lambda: NOW + 25 * HOUR)
    for client, key in ((page, ""), (page, "1-2-3"), (tomorrow, old)):
        answer = client.post("/do/cup/note", data={"once": key, "text": "hello"})
        assert answer.status_code == 422
        assert "This form is too old" in text_of(answer)
        again = re.search(r'name="once" value="([^"]+)"', answer.get_data(as_text=True))
        assert again
        assert 'value="hello"' in answer.get_data(as_text=True)
        daemon.now = NOW + 25 * HOUR if client is tomorrow else NOW
        noted(client.post("/do/cup/note", data={"once": again[1], "text": "hello"}))
    assert len(daemon.rows()) == 3


@pytest.mark.parametrize(
    ("choice", "fields", "place", "said"),
    [
        ("fill", {"amount": "lots"}, "amount", "Found 'lots'; allowed for top-up: a number, in ml, l, tsp"),
        ("fill", {"amount": ""}, "amount", "Found ''; allowed"),
        ("fill", {"amount": "-3"}, "amount", "Found '-3'; allowed: 0 to 500 ml"),
        ("fill", {"amount": "1,900"}, "amount", "whichever is meant"),
        ("set", {"amount": "0.05", "salt_g_per_l": "900"}, "salt_g_per_l", "Found '900'; allowed: 0 to 300"),
        ("set", {"amount": "0.05", "lot": "a;light=no"}, "lot", "No semicolon, please"),
        ("note", {"text": ""}, "text", "Found no text; allowed"),
        ("note", {"text": "x" * 2000}, "text", "one line of text, 1 to 1000 characters"),
        ("note", {"text": "two\nlines"}, "text", "one line of text"),
        ("feed", {"amount": "1", "food": "bread"}, "food", "Found 'bread'; allowed: other, spirulina, yeast"),
        ("salt", {"amount": "1.021 sg", "water_c": "99"}, "water_c", "allowed: 5 to 35 c"),
        ("share", {"amount": "50"}, "amount", "50% is 0.5"),
        ("stir", {"at": "2026-10-25T09:00"}, "at", "3 hours ahead; allowed: now or earlier"),
        ("stir", {"at": "soon"}, "at", "Found 'soon'"),
        ("stir", {"at": "2026-10-25T05:00", "when": str(NOW - HOUR)}, "at", "Two times were given"),
    ],
)
def test_what_is_wrong_is_said_beside_its_field_and_the_form_keeps_its_values(
    daemon: Listening, page: Phone, choice: str, fields: dict[str, str], place: str, said: str
) -> None:
    answer = send(page, choice, **fields)
    shown = answer.get_data(as_text=True)
    assert answer.status_code == 422
    found = re.search(rf'id="{place}-fault">([^<]+)<', shown)
    assert found
    assert said in html.unescape(found[1])
    assert "Nothing was noted yet: see below." in text_of(answer)
    for value in fields.values():
        assert html.escape(value, quote=True).replace("&#x27;", "&#39;") in shown
    assert daemon.rows() == []


def test_a_time_that_the_clocks_showed_twice_is_asked_about_and_both_can_be_meant(
    daemon: Listening, page: Phone
) -> None:
    """Europe/Lisbon, 25 October 2026: 02:00 became 01:00 (the IANA time zone database)."""
    for moment in ("2026-10-25T00:30:00+00:00", "2026-10-25T01:30:00+00:00"):
        answer = send(page, "note", text=moment, at="2026-10-25T01:30")
        assert "The clocks showed that time twice." in text_of(answer)
        found = re.findall(r'name="reading" value="([^"]+)"> ([^<]+)<', answer.get_data(as_text=True))
        assert [words for _, words in found] == [
            "the first 01:30 of that night",
            "the second 01:30 of that night",
        ]
        meant = next(value for value, _ in found if unix(html.unescape(value)) == unix(moment))
        noted(send(page, "note", text=moment, at="2026-10-25T01:30", reading=html.unescape(meant)))
        assert daemon.rows()[-1][5] == unix(moment)


def test_a_time_that_the_clocks_skipped_is_asked_about(left: Path, tmp_path: Path) -> None:
    """Europe/Lisbon, 28 March 2027: 01:00 became 02:00."""
    spring = unix("2027-03-28T12:00:00+00:00")
    with listening(shutil.copytree(left, tmp_path / "state")) as daemon:
        daemon.now = spring
        page = page_of(daemon.state, now=lambda: spring)
        answer = send(page, "note", text="a", at="2027-03-28T01:30")
        assert "The clocks skipped that time." in text_of(answer)
        words = re.findall(r'name="reading" value="[^"]+"> ([^<]+)<', answer.get_data(as_text=True))
        assert words == ["when the clock showed 00:30", "when the clock showed 02:30"]
        reading = "2027-03-28T01:30:00+00:00"
        noted(send(page, "note", text="a", at="2027-03-28T01:30", reading=reading))
        assert daemon.rows()[-1][5] == unix(reading)


@pytest.mark.parametrize(
    ("now", "offered"),
    [
        ("2026-10-25T06:00:00+00:00", ["now", "an hour ago, 05:00", "yesterday evening, 18:00"]),
        (
            "2026-10-25T12:00:00+00:00",
            ["now", "an hour ago, 11:00", "this morning, 08:00", "yesterday evening, 18:00"],
        ),
        ("2026-10-25T01:10:00+00:00", ["now", "an hour ago, 01:10", "yesterday evening, 18:00"]),
    ],
)
def test_moments_at_a_tap_are_those_the_words_say(left: Path, now: str, offered: list[str]) -> None:
    shown = page_of(left, now=lambda: unix(now)).get("/do/cup").get_data(as_text=True)
    found = re.findall(r'name="when" value="(\w+)"(?: checked)?> ([^<]+)<', shown)
    assert [words for _, words in found] == offered
    moments = {words: value for value, words in found}
    assert int(moments[offered[1]]) == unix(now) - HOUR
    assert int(moments["yesterday evening, 18:00"]) == unix("2026-10-24T18:00:00+01:00")


def test_a_moment_chosen_before_the_button_goes_along(daemon: Listening, page: Phone) -> None:
    noted(tap(page, "stir", when=str(NOW - HOUR)))
    assert daemon.rows()[-1][5] == NOW - HOUR
    asked = tap(page, "note", when=str(NOW - HOUR), also="tray")
    shown = page.get(asked.location).get_data(as_text=True)
    assert re.search(rf'value="{NOW - HOUR}" checked', shown)
    assert re.search(r'name="also" value="tray" checked', shown)


def test_the_same_is_noted_for_several_vessels_and_taken_back_together(
    daemon: Listening, page: Phone
) -> None:
    for vessel in ("cup", "tray"):
        begin_batch(page, vessel)
    echo = noted(send(page, "fill", "tray", amount="8", also=["cup", "nobody"]))
    assert echo == "/done/3,4"
    assert [row[1:4] for row in daemon.rows()[2:]] == [("tray", "top-up", 8.0), ("cup", "top-up", 8.0)]
    said = text_of(page.get(echo))
    assert "Noted tray (24 cups): poured in 8 mL of water" in said
    assert " cup: poured in 8 mL of water" in said
    noted(page.post(f"{echo}/back"))
    assert [row[6] for row in daemon.rows()] == [0, 0, 1, 1]


def test_vessels_that_are_ticked_before_have_each_an_amount_of_its_own(
    daemon: Listening, page: Phone
) -> None:
    begin_batch(page, "cup")
    begin_batch(page, "tray")
    asked = tap(page, "fill", "tray", also=["cup", "cone"])
    shown = page.get(asked.location).text
    own = re.search(r'name="amount:cup" value="([^"]+)"', shown)
    assert own
    assert float(own[1]) > 1.0
    assert 'name="amount:cone" value=""' in shown
    assert "First switch off and unplug the heater of cone." in text_of(page.get(asked.location))
    form = {"once": page.key_on(asked.location), "amount": "8", "also": ["cup", "cone"], "amount:cone": "100"}
    wrong = page.post("/do/tray/fill", data={**form, "amount:cup": "lots"})
    assert re.search(r'name="amount:cup" value="lots"[^>]*aria-invalid', wrong.text)
    assert 'name="amount:cone" value="100"' in wrong.text
    same = page.post("/do/tray/fill", data={**form, "at": "soon", "amount:cone": ""})
    assert re.search(r'name="amount:cone" value=""', same.text), "nobody is to find a guess in what was sent"
    assert len(daemon.rows()) == 2
    noted(page.post("/do/tray/fill", data={**form, "amount:cup": "1/2 tsp"}))
    assert [row[1:4] for row in daemon.rows()[2:]] == [
        ("tray", "top-up", 8.0),
        ("cup", "top-up", 2.5),
        ("cone", "top-up", 100.0),
    ]


def test_all_can_be_ticked_at_a_tap(page: Phone) -> None:
    assert page.get("/do/cup").text.count('name="also"') == 2
    assert "checked" not in page.get("/do/cup").text.partition('name="also"')[2]
    assert page.get("/do/cup?all").text.count('" checked> ') == 3  # now, and both


def test_one_bad_vessel_of_several_and_none_is_noted(daemon: Listening, page: Phone) -> None:
    answer = send(page, "remove", "cone", amount="1500", also=["cup"])
    assert answer.status_code == 422
    assert daemon.rows() == []


def test_a_watch_that_does_not_run_is_said_in_a_line_and_the_form_is_kept(left: Path, tmp_path: Path) -> None:
    state = shutil.copytree(left, tmp_path / "state")
    page = page_of(state)
    answer = send(page, "note", text="keep me")
    assert answer.status_code == 503
    assert "The watch is not running, so nothing was noted." in text_of(answer)
    assert 'value="keep me"' in answer.get_data(as_text=True)
    key = re.search(r'name="once" value="([^"]+)"', answer.get_data(as_text=True))
    assert key
    with listening(state) as daemon:
        noted(page.post("/do/cup/note", data={"once": key[1], "text": "keep me"}))
        noted(page.post("/do/cup/note", data={"once": key[1], "text": "keep me"}))
        assert len(daemon.rows()) == 1
    one_tap = tap(page, "stir")
    assert one_tap.status_code == 503
    back = page.post("/done/1/back")
    assert (back.status_code, "The watch is not running" in text_of(back)) == (503, True)


def test_records_that_were_played_take_nothing(left: Path, tmp_path: Path) -> None:
    state = shutil.copytree(left, tmp_path / "state")
    (state / "summary.json").write_text("{}")
    page = page_of(state)
    assert "nothing can be noted" in text_of(page.get("/do/cup"))
    answer = send(page, "note", text="a")
    assert (answer.status_code, "nothing can be noted" in text_of(answer)) == (409, True)


def test_who_did_not_give_the_pin_is_led_to_it_and_notes_nothing(daemon: Listening, page: Phone) -> None:
    noted(tap(page, "stir"))
    key, guest = page.key_on("/do/cup"), Phone(page.site)
    for address in ("/do/cup", "/do/cup/fill", "/deed/1", "/done/1"):
        shown = guest.get(address)
        assert (shown.status_code, "<form" in shown.text) == (200, False)
        assert ("Give the PIN to note something" in shown.text) == (address != "/done/1")
    for address in ("/do/cup", "/do/cup/note", "/deed/1", "/done/1/back"):
        refused = guest.post(address, data={"deed": "stir", "text": "a", "once": key})
        assert refused.status_code == 403
    assert len(daemon.rows()) == 1
    assert daemon.rows()[0][6] == 0


def test_every_form_bears_the_guards_token(daemon: Listening, page: Phone) -> None:
    noted(tap(page, "stir"))
    for address in ("/do/cup", "/do/cup/fill", "/deed/1", "/done/1"):
        shown = page.get(address).text
        assert shown.count("<form") == shown.count(f'value="{page.token}"') > 0


@pytest.mark.parametrize(
    "address",
    ["/do/nobody", "/do/nobody/fill", "/done/7", "/done/x", "/done/1,", "/done/-1", "/deed/7", "/deed/1,1",
     "/done/" + "9" * 5000, "/deed/" + "9" * 5000, "/deed/²", "/done/9999999999999999999"],
)  # fmt: skip
def test_an_address_of_nothing_says_so(daemon: Listening, page: Phone, address: str) -> None:
    noted(tap(page, "stir"))
    assert page.get(address).status_code == 404
    assert page.post(address, data={"deed": "stir"}).status_code in (404, 405)
    assert len(daemon.rows()) == 1


def test_a_choice_that_is_none_notes_nothing(daemon: Listening, page: Phone) -> None:
    answer = tap(page, "dance")
    assert (answer.status_code, "no such choice" in text_of(answer)) == (400, True)
    assert page.get("/do/cup/dance").location == "/do/cup"
    assert daemon.rows() == []


def test_an_entry_taken_back_twice_or_by_somebody_else_stays_so(daemon: Listening, page: Phone) -> None:
    echo = noted(tap(page, "stir"))
    for _ in range(2):
        assert noted(page.post(f"{echo}/back")) == echo
    assert "was taken back before" in text_of(page.get("/deed/1"))
    answer = page.post("/deed/1", data={"once": page.key_on("/do/cup")})
    assert (answer.status_code, len(daemon.rows())) == (422, 1)


def test_fahrenheit_is_asked_and_said_where_the_station_has_it(tmp_path: Path) -> None:
    leave_a_day(tmp_path, shelf_text(temperature_unit="F"))
    with listening(tmp_path) as daemon:
        page = page_of(tmp_path)
        assert "temperature, in °F" in text_of(page.get("/do/cup/salt"))
        wrong = send(page, "salt", amount="1.021 sg", water_c="20")
        assert "Found '20'; allowed: 41 to 95 °F." in text_of(wrong)
        echo = noted(send(page, "salt", amount="1.021 sg", water_c="71,6", scale_c="77"))
        detail = json.loads(daemon.rows()[-1][4])
        assert detail == pytest.approx({"water_c": 22.0, "scale_c": 25.0}, abs=1e-3)
        assert "in °F: 71.6" in text_of(page.get(echo))
        assert 'name="water_c" value="71.6"' in page.get("/deed/1").get_data(as_text=True)
