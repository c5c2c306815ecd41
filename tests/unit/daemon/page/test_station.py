"""The station on the page: what stands there, and its forms, by a real inbox, seen in the store."""

import re
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.page.site import make_site
from daemon.store import deliveries as delivery_store
from daemon.store import doubts as doubt_store
from daemon.store import letters as letter_store
from daemon.store import mishaps as mishap_store
from daemon.store import readings as reading_store
from daemon.store.mishaps import Overlooked
from reports.page.rendering import environment
from sensors.reading import Quality, Reading
from tests.kit.desks import moment
from tests.kit.page_station import OWN, Room, cold_room, four_nights, main_of
from tests.kit.undrawn import undrawn

TOMORROW, MONDAY, EVENING = moment(13, "07:15"), moment(18, "07:15"), moment(12, "20:00")
HOUR, DAY = 3600, 86_400
PATHS = ("seen", "silence", "take-back", "quiet", "loud", "try")


@pytest.fixture
def room(tmp_path: Path) -> Iterator[Room]:
    with cold_room(tmp_path) as room:
        yield room


def shelf(room: Room) -> list[tuple[object, ...]]:
    return room.rows("SELECT vessel, condition, until FROM shelf WHERE lifted_at IS NULL ORDER BY id")


def cold_state(room: Room) -> object:
    return room.rows("SELECT state FROM alarm WHERE condition = 'cold' ORDER BY id DESC LIMIT 1")[0][0]


def test_an_alarm_that_stands_is_there_with_what_may_be_done_about_it(room: Room) -> None:
    page = room.get("/station")
    said = main_of(page)
    assert "tray: the water is too cold, since today at" in said
    assert "until today at 20:00 until tomorrow at 07:15 until Monday 18 January at 07:15" in said
    assert page.text.count('value="cold:tray"') >= 2
    for at in (EVENING, TOMORROW, MONDAY):
        assert f'<option value="{at}">' in page.text


def test_seen_is_seen_in_the_store_and_said(room: Room) -> None:
    assert cold_state(room) == "unacknowledged"
    answer = room.post("/station/seen")
    assert (answer.status_code, answer.location) == (303, "/station?done=seen")
    assert cold_state(room) == "acknowledged"
    said = main_of(room.get(answer.location))
    assert "All alarms are marked as seen." in said
    assert "the water is too cold (seen)" in said
    assert "I have seen all alarms" not in said


@pytest.mark.parametrize(
    ("form", "until"),
    [
        ({"until": str(EVENING)}, EVENING),
        ({"until": str(TOMORROW)}, TOMORROW),
        ({"until": str(MONDAY)}, MONDAY),
        ({"until": "open"}, None),
        ({"until": "open", "moment": "2027-01-20T09:30"}, moment(20, "09:30")),
        ({"moment": "2027-01-20"}, moment(20, "00:00")),
        ({"moment": "2027-01-20T09:30:00+01:00"}, moment(20, "08:30")),
    ],
)
def test_an_alarm_is_silenced_until_the_moment_that_was_chosen(
    room: Room, form: dict[str, str], until: int | None
) -> None:
    answer = room.post("/station/silence", alarm="cold:tray", **form)
    assert answer.status_code == 303
    assert shelf(room) == [("tray", "cold", until)]
    assert cold_state(room) == ("out of service" if until is None else "shelved")
    said = main_of(room.get(answer.location))
    assert "That alarm is silenced." in said
    assert re.search(r"tray: Silenced by \w+ until .*: cold water\. Look yourself\.", said, re.IGNORECASE)


def test_an_alarm_of_the_station_itself_can_be_silenced(room: Room) -> None:
    room.post("/station/silence", alarm="storage:", until=str(TOMORROW))
    assert shelf(room) == [("", "storage", TOMORROW)]
    assert "a memory card that is nearly full" in main_of(room.get("/station"))


@pytest.mark.parametrize("alarm", ["cold:tray", "storage:"])
def test_who_silenced_it_on_the_page_has_no_name_but_is_not_called_by_an_accounts(
    room: Room, alarm: str
) -> None:
    condition, _, vessel = alarm.partition(":")
    words = {"ask": "out-of-service", "vessel": vessel, "condition": condition}
    for by, said in (
        ("naupliad-page", "by somebody on the page until"),
        ("ina", "by ina until"),
        ("", "until"),
    ):
        room.desks.requests.answer(words, room.now, by)
        assert f"ilenced {said}" in main_of(room.get("/station"))


def test_what_was_silenced_is_taken_back_once(room: Room) -> None:
    room.post("/station/silence", alarm="cold:tray", until="open")
    answer = room.post("/station/take-back", alarm="cold:tray")
    assert answer.location == "/station?done=counts"
    assert shelf(room) == []
    again = room.post("/station/take-back", alarm="cold:tray")
    assert "That alarm was not silenced." in main_of(room.get(again.location))


def test_letters_are_held_back_and_let_go_again(room: Room) -> None:
    answer = room.post("/station/quiet", until=str(MONDAY))
    assert answer.location == "/station?done=quiet"
    assert shelf(room) == [("", "", MONDAY)]
    said = main_of(room.get(answer.location))
    assert "No letters until Monday 18 January at 07:15, but for water above 33 °C" in said
    assert room.post("/station/loud").location == "/station?done=loud"
    assert shelf(room) == []
    assert "Letters go as usual." in main_of(room.get("/station"))


def parked(room: Room, trouble: str) -> int:
    """A letter that the mail server refused."""
    connection = room.desks.store.connection
    at = room.now - HOUR
    letter = letter_store.hold(connection, at, "cold", "cold", at, ["tray"])
    letter_store.write(connection, letter, ["tray"], "Cold: 15.0 °C", b"Subject: x\n\nwords", 7, at)
    delivery_store.queue(connection, letter, ["mail"], at)
    (delivery,) = delivery_store.of(connection, letter)
    delivery_store.park(connection, delivery, trouble)
    return letter


def test_what_the_post_refused_is_tried_again(room: Room) -> None:
    letter = parked(room, "550 no such mailbox")
    said = main_of(room.get("/station"))
    assert "Cold: 15.0 °C : refused by the post Mail: 1 try so far. 550 no such mailbox" in said
    assert room.post("/station/try").location == "/station?done=tried"
    assert room.rows(f"SELECT state FROM delivery WHERE letter = {letter}") == [("queued",)]
    said = main_of(room.get("/station?done=tried"))
    assert "What waits for the post is tried now." in said
    assert "waits for the post, next try today at 12:00" in said


def test_where_nothing_waits_trying_says_so(room: Room) -> None:
    assert "No letter waits for the post." in main_of(room.get(room.post("/station/try").location))


@pytest.mark.parametrize(
    ("path", "form", "line"),
    [
        ("silence", {}, "Choose one of the alarms in the list."),
        ("silence", {"alarm": "cold:mug", "until": "open"}, "Choose one of the alarms in the list."),
        ("silence", {"alarm": "warm:tray", "until": "open"}, "Choose one of the alarms in the list."),
        ("silence", {"alarm": ":", "until": "open"}, "Choose one of the alarms in the list."),
        ("silence", {"alarm": "cold:tray"}, "Choose until when."),
        ("silence", {"alarm": "cold:tray", "until": "-5"}, "Choose until when."),
        ("silence", {"alarm": "cold:tray", "until": "9" * 5000}, "Choose until when."),
        ("silence", {"alarm": "cold:tray", "until": "٣"}, "Choose until when."),
        ("silence", {"alarm": "cold:tray", "until": "5"}, "That moment is over already."),
        ("silence", {"alarm": "cold:tray", "moment": "2027-01-12T11:59"}, "That moment is over already."),
        ("silence", {"alarm": "cold:tray", "moment": "2027-06-01T08:00"}, "That is more than 60 days away."),
        ("silence", {"alarm": "cold:tray", "moment": "9999-12-31T23:59"}, "That is more than 60 days away."),
        ("silence", {"alarm": "cold:tray", "moment": "next week"}, "That is no day and time."),
        ("quiet", {}, "Choose until when."),
        ("quiet", {"until": "open"}, "Choose until when."),
        ("take-back", {"alarm": ""}, "Choose one of the alarms in the list."),
    ],
)
def test_a_form_that_is_wrong_gets_one_line_and_changes_nothing(
    room: Room, path: str, form: dict[str, str], line: str
) -> None:
    before = room.rows("SELECT * FROM shelf"), room.rows("SELECT * FROM alarm")
    answer = room.post(f"/station/{path}", **form)
    assert answer.status_code == 400
    assert answer.text.count('role="alert"') == 1
    assert line in main_of(answer)
    assert "Nothing was done." in main_of(answer)
    assert (room.rows("SELECT * FROM shelf"), room.rows("SELECT * FROM alarm")) == before


def test_a_moment_that_was_typed_is_not_lost_with_the_refusal(room: Room) -> None:
    page = room.post("/station/silence", alarm="hot:tray", moment="2026-01-18T07:30").text
    assert 'name="moment" value="2026-01-18T07:30"' in page
    assert '<option value="hot:tray" selected>' in page


@pytest.mark.parametrize("path", PATHS)
def test_a_form_is_not_carried_out_by_looking_at_its_address(room: Room, path: str) -> None:
    assert room.get(f"/station/{path}").status_code == 405
    assert shelf(room) == []


@pytest.mark.parametrize("path", PATHS)
def test_who_is_not_signed_in_sees_no_form_and_changes_nothing(room: Room, path: str) -> None:
    room.signed_out()
    page = room.get("/station")
    assert "<form" not in page.text
    assert 'href="/pin?next=%2Fstation"' in page.text
    assert "tray: the water is too cold" in main_of(page)
    assert room.post(f"/station/{path}", alarm="cold:tray", until="open").status_code == 403
    assert shelf(room) == []
    assert cold_state(room) == "unacknowledged"


@pytest.mark.parametrize("path", PATHS)
def test_a_form_that_another_page_made_changes_nothing(room: Room, path: str) -> None:
    for headers, form in (({"Origin": "http://elsewhere.example"}, {}), (OWN, {"form_token": "of another"})):
        data = {"alarm": "cold:tray", "until": "open", **form}
        answer = room.client.post(f"/station/{path}", data=data, headers=headers)
        assert answer.status_code == 403
    assert shelf(room) == []
    assert cold_state(room) == "unacknowledged"


def test_every_form_carries_the_token_that_shows_where_it_came_from(room: Room) -> None:
    parked(room, "")
    room.post("/station/silence", alarm="hot:tray", until="open")
    page = room.get("/station").text
    assert page.count("<form") >= 6
    assert page.count("<form") == page.count('name="form_token"')


def test_without_a_daemon_there_are_no_forms_and_one_line(tmp_path: Path) -> None:
    with cold_room(tmp_path, at_home=False) as room:
        assert "<form" not in room.get("/station").text
        answer = room.post("/station/seen")
        assert answer.status_code == 503
        assert "The watch is not running, so it cannot be asked. Nothing was done." in main_of(answer)
        assert cold_state(room) == "unacknowledged"


def test_an_answer_that_is_lost_is_not_called_undone(room: Room, monkeypatch: pytest.MonkeyPatch) -> None:
    from daemon.errors import NaupliadError

    def lost(*_asked: object) -> None:
        raise NaupliadError("inbox.sock: the daemon hung up without an answer")

    monkeypatch.setattr("daemon.page.deeds.asking.ask", lost)
    said = main_of(room.post("/station/seen"))
    assert "The watch gave no answer. Look first whether it was done." in said
    assert "Nothing was done" not in said


def test_probes_say_how_far_they_are_trusted_and_what_hangs_on_them(room: Room) -> None:
    connection = room.desks.store.connection
    said = main_of(room.get("/station"))
    assert "water: water temperature Trusted Last trusted reading: 15.0 °C, less than a minute ago." in said
    assert "Vessels that hang on it: tray." in said
    doubt_store.add(connection, room.now - HOUR, "light", "it has shown the same value for more than a day")
    reading_store.add(connection, [Reading(room.now + 60, "water", None, Quality.ABSENT)])
    room.desks.at += 2 * HOUR
    said = main_of(room.get("/station"))
    assert "water: water temperature Not trusted It does not answer, 1 hour 59 minutes ago." in said
    assert "Last trusted reading: 15.0 °C, 2 hours ago." in said
    assert "light: light In doubt" in said
    assert "it has shown the same value for more than a day. Seen since today at 11:00" in said


def test_a_probe_whose_last_reading_is_old_or_that_never_read_is_not_called_trusted(room: Room) -> None:
    room.desks.at += 2 * HOUR
    assert "water: water temperature No new reading" in main_of(room.get("/station"))
    room.rows("DELETE FROM reading WHERE probe = 'water'")
    assert "water: water temperature Silent It has read nothing yet." in main_of(room.get("/station"))


def test_what_befell_the_records_and_the_station_file_is_said_without_keys(room: Room) -> None:
    connection = room.desks.store.connection
    faults = (
        "/etc/naupliad/station.toml: webhook.url: found 'htps://hooks.example/T0KEN'; allowed: https",
        "/etc/naupliad/station.toml: vessel.0.mark_ml: found 'much'; allowed: a number",
    )
    mishap_store.keep_overlooked(connection, Overlooked("/etc/naupliad/station.toml", faults), room.now)
    said = main_of(room.get("/station"))
    assert "The station file has mistakes since today at 12:00." in said
    assert "vessel.0.mark_ml: found 'much'; allowed: a number" in said
    assert "T0KEN" not in said
    assert "webhook.url: found …; allowed: https" in said
    assert re.search(r"Free on the disk: [\d.]+ [MG]B\.", said)
    assert "The station's records begin Tuesday 12 January and take" in said


def test_nobodys_address_and_no_key_is_on_the_page(tmp_path: Path) -> None:
    with cold_room(tmp_path) as room:
        parked(room, "550 <teacher@school.example>: https://hooks.example:8443/T0KEN?k=v unknown")
        page = room.get("/station").text
    assert "teacher@" not in page
    assert "T0KEN" not in page
    assert "https://hooks.example:8443/… unknown" in page


FORMS = st.fixed_dictionaries(
    {},
    optional={
        "alarm": st.one_of(st.text(max_size=40), st.sampled_from(["cold:tray", "clock:", "probe:tray"])),
        "until": st.one_of(st.text(max_size=20), st.integers(-(10**30), 10**30).map(str), st.just("open")),
        "moment": st.one_of(
            st.text(max_size=30), st.datetimes().map(str), st.datetimes().map(lambda at: at.isoformat())
        ),
        "csrf": st.text(max_size=5),
    },
)


def test_whatever_a_form_holds_is_done_or_refused_in_a_line(room: Room) -> None:
    @given(st.sampled_from(PATHS), FORMS)
    def tried(path: str, form: dict[str, str]) -> None:
        answer = room.post(f"/station/{path}", **form)
        assert answer.status_code in (303, 400)
        if answer.status_code == 400:
            assert answer.text.count('role="alert"') == 1
        ends = [until for _, _, until in shelf(room) if until is not None]
        assert all(room.now < int(str(until)) <= room.now + 60 * DAY for until in ends)

    tried()


@given(st.text(max_size=40))
def test_whatever_an_address_calls_done_is_no_word_of_the_page(text: str) -> None:
    from reports.page.forms import done

    known = {"seen", "silenced", "counts", "counted", "quiet", "loud", "tried", "none"}
    assert bool(done("en", text)) == (text in known)


@pytest.fixture
def shelf_of_eight(tmp_path: Path) -> Iterator[Room]:
    with cold_room(tmp_path, *(f"cup-{n}" for n in range(1, 9))) as room:
        yield room


def test_alike_alarms_of_eight_vessels_are_one_line_and_silenced_together(shelf_of_eight: Room) -> None:
    room = shelf_of_eight
    page = room.get("/station")
    assert (
        main_of(page).count("the water is too cold") == 2
    )  # the line, and once more for who hears the button
    assert "cup-1 to cup-8: the water is too cold" in main_of(page)
    assert "Cold letter (8 alike) : waits for its time" in main_of(page)
    ids = re.findall(r' id="([^"]+)"', page.text)
    assert len(set(ids)) == len(ids)
    alarms = [f"cold:cup-{n}" for n in range(1, 9)]
    room.post("/station/silence", alarm=alarms, until="open")
    assert shelf(room) == [(f"cup-{n}", "cold", None) for n in range(1, 9)]
    assert "cup-1 to cup-8: Silenced" in main_of(room.get("/station"))
    room.post("/station/take-back", alarm=alarms[:3])
    assert shelf(room) == [(f"cup-{n}", "cold", None) for n in range(4, 9)]


def test_of_several_alarms_one_that_is_none_keeps_all_as_they_are(shelf_of_eight: Room) -> None:
    answer = shelf_of_eight.post("/station/silence", alarm=["cold:cup-1", "cold:cup-9"], until="open")
    assert answer.status_code == 400
    assert shelf(shelf_of_eight) == []


def test_what_was_done_of_several_before_the_daemon_fell_silent_is_not_called_undone(
    shelf_of_eight: Room, monkeypatch: pytest.MonkeyPatch
) -> None:
    from daemon.page.deeds import asking

    answers = iter([{"taken_back": 0}, None])
    monkeypatch.setattr(asking, "ask", lambda *_asked: next(answers))
    answer = shelf_of_eight.post("/station/take-back", alarm=["cold:cup-1", "cold:cup-2"])
    assert answer.status_code == 503
    assert "The watch is not running, so it cannot be asked." in main_of(answer)
    assert "Nothing was done." not in main_of(answer)


def test_a_station_that_speaks_german_and_fahrenheit(tmp_path: Path) -> None:
    with cold_room(tmp_path, language="de", temperature_unit="F") as room:
        page = room.get("/station")
        assert 'lang="de"' in page.text
        assert "59,0 °F" in main_of(page)
        assert "°C" not in main_of(page)


def test_a_store_that_is_replaced_is_read_anew(tmp_path: Path) -> None:
    with undrawn():
        state = four_nights(tmp_path / "one")
    client = make_site(state).test_client()
    assert "Small room" in client.get("/station").text
    with closing(sqlite3.connect(state / "station.db")) as connection, connection:
        connection.execute("UPDATE station_file SET text = replace(text, 'Small room', 'Other room')")
    (state / "station.db").rename(state / "beside.db")
    assert client.get("/station").status_code == 503
    (state / "beside.db").rename(state / "station.db")
    assert "Other room" in client.get("/station").text


def test_the_first_that_is_asked_may_find_no_store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delitem(environment().globals, "views", raising=False)
    answer = make_site(tmp_path).test_client().get("/station")
    assert answer.status_code == 503
    assert "Nothing is watched here yet" in main_of(answer)


@pytest.mark.parametrize(("answered", "asked"), [([], True), (["Undine"], False)])
def test_a_label_that_looks_like_a_persons_name_is_asked_about_until_it_is_answered(
    tmp_path: Path, answered: list[str], asked: bool
) -> None:
    with cold_room(tmp_path, "tray", "Undine", no_names=answered) as room:
        said = main_of(room.get("/station"))
        assert ("Undine looks like a person's name." in said) is asked
        assert ("Is it no person's? Say so here" in said) is asked
        assert "tray looks like" not in said
