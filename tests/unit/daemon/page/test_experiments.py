"""Experiments on the page: from an idea to a seat map, counts by code, a result when all are in."""

import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from urllib.parse import urlencode, urlsplit

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from werkzeug.test import TestResponse

from daemon.planning.experiment.design import design_of
from daemon.planning.experiment.doubts import enough_cups
from tests.kit.checkout import DOCS
from tests.kit.command_line import naupliad
from tests.kit.imports import modules, steps
from tests.kit.page_station import OWN, PIN, Room, cold_room, main_of

PLAN = {
    "idea": "Does salt matter?",
    "factor": "salt",
    "levels": "10; 25; 40",
    "cups": "4",
    "of": "50",
    "near": "window",
}
MAP = {**PLAN, "seed": "7"}
# By that seed; the class example of tests/unit/daemon/cli/test_experiment_cups.py.
LEVELS = {"10 g/L": "D4 F4 N3 X4", "25 g/L": "A4 F2 F3 H2", "40 g/L": "A3 H7 K2 R3"}
CLASS = {"10 g/L": (31, 36, 28, 33), "25 g/L": (38, 41, 35, 40), "40 g/L": (12, 20, 15, 9)}


@pytest.fixture
def room(tmp_path: Path) -> Iterator[Room]:
    with cold_room(tmp_path) as room:
        yield room


def planned(room: Room, **change: str) -> TestResponse:
    return room.get(f"/plan/experiment?{urlencode({**MAP, **change})}")


def begin(room: Room, **change: str) -> TestResponse:
    return room.post("/plan/experiment", **{**MAP, **change})


def kept(room: Room) -> list[tuple[str, int, int, object]]:
    return room.rows(
        "SELECT code, hatched, cysts, withdrawn_at IS NOT NULL FROM experiment_count ORDER BY id"
    )


def without_levels(page: TestResponse) -> str:
    """The page but for what somebody has to open to see."""
    return re.sub(r'<details class="levels">.*?</details>', "", page.get_data(as_text=True), flags=re.DOTALL)


def test_the_list_of_plans_leads_there(room: Room) -> None:
    assert 'href="/plan/experiment"' in room.get("/plan").get_data(as_text=True)


def test_from_an_idea_to_a_seat_map_that_a_reload_leaves_alone(room: Room) -> None:
    assert "What do you want to know?" in main_of(room.get("/plan/experiment"))
    drawn = room.get(f"/plan/experiment?{urlencode(PLAN)}")
    assert drawn.status_code == 303
    address = drawn.headers["Location"]
    assert re.search(r"&seed=[0-9]+$", address)
    first, again = room.get(address), room.get(address)
    assert re.findall(r"<td>(\w\w)</td>", first.get_data(as_text=True)) == re.findall(
        r"<td>(\w\w)</td>", again.get_data(as_text=True)
    )
    said = main_of(first)
    assert "4 cups of each, 12 cups in all, with 50 cysts in each cup." in said
    assert "These cups can show a difference, if there is a large one." in said
    assert room.rows("SELECT * FROM experiment") == []


def test_a_plan_that_is_begun_is_kept_with_the_map_that_was_shown(room: Room) -> None:
    begun = begin(room)
    assert (begun.status_code, begun.headers["Location"]) == (303, "/experiment/1")
    begin(room)  # a double tap
    assert room.rows("SELECT id, idea, seed FROM experiment") == [(1, "Does salt matter?", 7)]
    shown = without_levels(room.get("/experiment/1"))
    assert re.findall(r"<td>(\w\w)</td>", shown)[:3] == ["F3", "N3", "H7"]
    assert "Experiment 1: salt" in main_of(room.get("/plan/experiment"))


@pytest.mark.parametrize(
    ("change", "line"),
    [
        ({"levels": "10, 22,5, 40"}, "A comma between two digits: write semicolons between levels"),
        ({"levels": "0,5"}, "A comma between two digits: write semicolons between levels"),
        ({"levels": "10; 10,0 g/L; 30"}, "10 g/L and 10,0 g/L are the same: give each level once."),
        ({"levels": "10; 30; 10"}, "10 g/L stands there twice: give each level once."),
        ({"levels": "10"}, "Give two to six levels, each once and in up to 30 characters"),
        ({"cups": "0"}, "A whole number from 1 to 20."),
        ({"cups": "²"}, "A whole number from 1 to 20."),
        ({"of": "many"}, "A whole number from 1 to 10,000."),
        ({"factor": "other", "other": ""}, "Say in up to 40 characters what is changed."),
        ({"factor": "moon"}, "Say in up to 40 characters what is changed."),
        ({"near": "moon"}, "Choose one of the list."),
        ({"idea": "x" * 201}, "One line of up to 200 characters."),
    ],
)
def test_what_cannot_be_is_said_beside_its_field_and_nothing_is_begun(
    room: Room, change: dict[str, str], line: str
) -> None:
    assert line in main_of(planned(room, **change))
    sent = begin(room, **change)
    assert sent.status_code == 422
    assert line in main_of(sent)
    assert room.rows("SELECT * FROM experiment") == []


@pytest.mark.parametrize(
    ("change", "line"),
    [
        ({"cups": "1"}, "With one cup of each nothing can be shown, whatever is counted."),
        ({"cups": "3", "levels": "10;25"}, "These cups cannot show a difference, however large"),
        ({"cups": "1", "levels": "10;25"}, "Take 4 cups of each at least."),
        ({"cups": "2", "levels": "10;25"}, "Take 4 of each or more."),
        ({"cups": "2"}, "Take 3 of each or more."),
        ({"factor": "warmth", "levels": "18; 26"}, "Cups of one level in one warm place count as one cup"),
        ({"factor": "warmth", "levels": "18; 26"}, "Each seat is a water bath or a box of its own"),
        (
            {"levels": "10; 120; 130"},
            "120 g/L and 130 g/L: hardly any animals are known to live there. Leave them",
        ),
        ({"cups": "3", "levels": "10;25"}, "Take 4 cups of each at least."),
        ({"levels": "10; 25; 120"}, "120 g/L: hardly any animals are known to live there."),
        ({"levels": "10; 25 and warm"}, "It looks as if more than one thing is changed"),
    ],
)
def test_what_speaks_against_a_plan_is_said_before_any_cup_is_filled(
    room: Room, change: dict[str, str], line: str
) -> None:
    assert line in main_of(planned(room, **change))


def test_the_hint_on_cups_and_the_guide_give_the_fewest_that_could_show_something(room: Room) -> None:
    fewest = [
        enough_cups(design_of("", "salt", [str(n) for n in range(levels)], 1, 50, "window", 1))
        for levels in range(2, 7)
    ]
    assert fewest == [4, 3, 3, 3, 3]
    hint = "Four or more at two levels, three or more at three to six"
    assert hint in main_of(room.get("/plan/experiment"))
    guide = " ".join((DOCS / "how-to" / "experiment.md").read_text("utf-8").split())
    assert hint.lower() in guide.lower()


def test_what_needs_places_of_its_own_is_not_shown_as_cups_on_a_shelf(room: Room) -> None:
    begin(room, factor="warmth", levels="18; 26")
    for path in ("/experiment/1", "/paper/experiment?sheet=form", "/paper/experiment?sheet=levels"):
        said = main_of(room.get(path))
        assert "Each seat is a water bath or a box of its own" in said
        assert "stands nearest to" not in said
        assert "one shelf" not in said
    assert "Cups of one level that share a bath count as one." in main_of(room.get("/experiment/1"))
    holds = "That holds only where each cup had a place of its own, or each row was a round of its own."
    assert holds in main_of(planned(room, factor="warmth", levels="18; 26"))
    assert holds not in main_of(planned(room))
    for (code,) in room.rows("SELECT code FROM experiment_seat"):
        room.post("/experiment/1", cup=code, hatched="30")
    assert holds in main_of(room.get("/experiment/1")).partition("What it shows")[2]


@pytest.mark.parametrize(
    "change",
    [
        {"levels": "Tomke; Juro"},
        {"factor": "other", "other": "Tomke", "levels": "a, b"},
        {"idea": "Which cup does Tomke like?"},
        {"idea": "Tomke wonders about salt"},
    ],
)
def test_what_looks_like_a_name_is_asked_about_before_it_is_kept(room: Room, change: dict[str, str]) -> None:
    assert "“Tomke” looks like a person's name." in main_of(planned(room, **change))
    refused = begin(room, **change)
    assert (refused.status_code, room.rows("SELECT * FROM experiment")) == (422, [])
    assert "tick that these are no names of people" in main_of(refused)
    assert begin(room, **change, no_names="yes").status_code == 303


def test_no_letter_is_made_from_an_experiment() -> None:
    letters = [name for name in modules() if name.startswith(("daemon.letters", "daemon.post"))]
    assert letters
    assert not {"daemon.store.experiments", "reports.experiment.design"} & steps(letters).keys()


def test_who_is_not_signed_in_sees_the_map_and_is_asked_for_the_pin(room: Room) -> None:
    room.signed_out()
    shown = planned(room).get_data(as_text=True)
    assert "Give the PIN to begin it" in shown
    assert 'method="post"' not in shown.partition("<main")[2]
    asked = begin(room)
    assert (asked.status_code, room.rows("SELECT * FROM experiment")) == (403, [])
    fields = dict(re.findall(r'name="(held|held_to|next)" value="([^"]*)"', asked.get_data(as_text=True)))
    form = {"pin": PIN, **{name: unescape(value) for name, value in fields.items()}}
    again = room.while_it_answers(lambda: room.client.post("/pin", data=form, headers=OWN))
    assert "Nothing was begun yet: this is what you filled in." in main_of(again)
    assert "Does salt matter?" in main_of(again)
    assert room.rows("SELECT * FROM experiment") == []


def test_counts_come_by_code_and_the_result_when_all_are_in(room: Room) -> None:
    begin(room)
    for level, codes in LEVELS.items():
        for code, hatched in zip(codes.split(), CLASS[level], strict=True):
            shown = room.get("/experiment/1")
            assert "What it shows stands here when all cups are counted" in main_of(shown)
            assert "g/L:" not in without_levels(shown).partition("in each cup.")[2]
            noted = room.post("/experiment/1", cup=code, hatched=str(hatched))
            assert (noted.status_code, urlsplit(noted.headers["Location"]).query) == (303, f"done={code}")
    said = main_of(room.get("/experiment/1?done=R3"))
    assert "Noted. R3: 9 of 50." in said
    assert "All 12 cups are counted." in said
    assert "Most hatched at 25 g/L: 77 of 100." in said
    assert "H(2) = 9.27" in said
    assert "water_c" not in said
    assert '<svg xmlns="http://www.w3.org/2000/svg"' in room.get("/experiment/1").get_data(as_text=True)


def test_the_counts_can_be_taken_along_as_the_table_that_the_command_reads(
    room: Room, tmp_path: Path
) -> None:
    begin(room)
    for code, hatched in (("F3", "31"), ("N3", "20")):
        room.post("/experiment/1", cup=code, hatched=hatched)
    taken = room.get("/experiment/1.csv")
    assert (taken.status_code, taken.mimetype) == (200, "text/csv")
    # It says which code has which level: before all is counted nobody is led to it.
    assert "/experiment/1.csv" not in room.get("/experiment/1").text
    assert "/experiment/1.csv" in room.get("/experiment/1?now=yes").text
    head, *counted, first_open = taken.text.splitlines()[:4]
    assert (head, counted) == (
        "level,cup,of,hatched,salt_g_per_l",
        ["10 g/L,N3,50,20,10", "25 g/L,F3,50,31,25"],
    )
    assert first_open == "40 g/L,A3,50,,"  # the cups that are missing have rows, too
    assert len(taken.text.splitlines()) == 1 + 12
    (tmp_path / "counts.csv").write_text(taken.text, encoding="utf-8")
    assert naupliad("experiment", "result", "--csv", tmp_path / "counts.csv").code == 0


def test_who_insists_sees_what_is_known_so_far(room: Room) -> None:
    begin(room)
    room.post("/experiment/1", cup="F3", hatched="31")
    assert "31" in main_of(room.get("/experiment/1?now=yes")).partition("What it shows")[2]


@pytest.mark.parametrize(
    ("form", "line"),
    [
        ({"cup": "F3", "hatched": "51"}, "A whole number from 0 to 50."),
        ({"cup": "F3", "hatched": ""}, "A whole number from 0 to 50."),
        ({"cup": "F3", "hatched": "-1"}, "A whole number from 0 to 50."),
        ({"cup": "F3", "hatched": "11", "of": "10"}, "A whole number from 0 to 10."),
        ({"cup": "F3", "hatched": "11", "of": "0"}, "A whole number from 1 to 10,000."),
        ({"cup": "A0", "hatched": "11"}, "Choose a cup of the list."),
        ({"cup": "F3", "hatched": "11", "hours": "soon"}, "Hours above 0 and up to 720"),
    ],
)
def test_a_count_that_cannot_be_is_refused_beside_its_field(
    room: Room, form: dict[str, str], line: str
) -> None:
    begin(room)
    sent = room.post("/experiment/1", **form)
    assert (sent.status_code, kept(room)) == (422, [])
    assert line in main_of(sent)


def test_a_second_count_of_a_cup_asks_for_a_change_and_a_double_tap_does_not(room: Room) -> None:
    begin(room)
    for _ in range(2):
        assert room.post("/experiment/1", cup="F3", hatched="31").status_code == 303
    other = room.post("/experiment/1", cup="F3", hatched="13")
    assert other.status_code == 409
    assert "There is a count of this cup already: F3: 31 of 50." in main_of(other)
    assert kept(room) == [("F3", 31, 50, 0)]
    assert 'role="alert">There is a count' in other.text
    (link,) = re.findall(r'role="alert">[^<]*<a href="([^"]*)">Change the count of F3</a>', other.text)
    assert 'name="correct" value="yes"' in room.get(f"/experiment/1{unescape(link)}").text


def test_a_count_is_changed_and_taken_back_and_nothing_is_lost(room: Room) -> None:
    begin(room)
    room.post("/experiment/1", cup="F3", hatched="31")
    form = room.get("/experiment/1?cup=F3").get_data(as_text=True)
    assert 'name="correct" value="yes"' in form
    assert 'name="hatched" type="number" value="31"' in re.sub(r" autofocus", "", form)
    room.post("/experiment/1", cup="F3", hatched="13", correct="yes")
    assert room.post("/experiment/1/back", cup="F3", hours="").status_code == 303
    assert kept(room) == [("F3", 31, 50, 1), ("F3", 13, 50, 1)]
    assert "The count of F3 is taken back." in main_of(room.get("/experiment/1?back=F3"))


def test_a_count_of_somebody_who_is_not_signed_in_waits_behind_the_pin(room: Room) -> None:
    begin(room)
    room.signed_out()
    asked = room.post("/experiment/1", cup="F3", hatched="31")
    assert (asked.status_code, kept(room)) == (403, [])
    fields = dict(re.findall(r'name="(held|held_to|next)" value="([^"]*)"', asked.get_data(as_text=True)))
    form = {"pin": PIN, **{name: unescape(value) for name, value in fields.items()}}
    again = room.while_it_answers(lambda: room.client.post("/pin", data=form, headers=OWN))
    assert "Nothing was noted yet: this is what you filled in." in main_of(again)
    assert 'value="31"' in again.get_data(as_text=True)
    assert kept(room) == []


def test_an_experiment_begun_by_mistake_is_deleted_until_something_is_counted(room: Room) -> None:
    begin(room)
    assert "Delete it: nothing was counted yet" in main_of(room.get("/experiment/1"))
    gone = room.post("/experiment/1/discard")
    assert (gone.status_code, gone.headers["Location"]) == (303, "/plan/experiment")
    assert room.get("/experiment/1").status_code == 404
    assert begin(room).headers["Location"] == "/experiment/2"
    room.post("/experiment/2", cup="F3", hatched="31")
    assert "Delete it" not in main_of(room.get("/experiment/2"))
    assert room.post("/experiment/2/discard").status_code == 400
    assert len(room.rows("SELECT * FROM experiment")) == 1


def test_a_level_of_which_no_cup_is_left_is_told_in_words(room: Room) -> None:
    begin(room)
    seats = room.rows("SELECT code, level FROM experiment_seat")
    for code, level in seats:
        if level == seats[0][1]:
            room.post("/experiment/1/lost", lost=code)
        else:
            room.post("/experiment/1", cup=code, hatched="31")
    shown = main_of(room.get("/experiment/1")).partition("What it shows")[2].partition("For a report")[0]
    assert f"All cups of the level {seats[0][1]} are lost: these counts tell nothing of it." in shown


def test_a_printed_form_asks_for_no_lost_cup(room: Room) -> None:
    begin(room)
    room.post("/experiment/1/lost", lost="F3")
    sheet = room.get("/paper/experiment?experiment=1").get_data(as_text=True)
    assert sheet.count("<td>F3 ×</td>") == 1
    assert '<th scope="row">F3</th>' not in sheet
    assert "1 cup is lost: F3." in sheet


def test_hours_stand_beside_all_counts_or_none(room: Room) -> None:
    begin(room)
    room.post("/experiment/1", cup="F3", hatched="11", hours="24,5")
    room.post("/experiment/1", cup="F3", hatched="31", hours="48")
    assert "F3: 11 of 50, after 24.5 h" in main_of(room.get("/experiment/1"))
    without = room.post("/experiment/1", cup="N3", hatched="11")
    assert without.status_code == 422
    assert "The counts that stand have hours: give them here, too" in main_of(without)


def test_where_the_first_counts_had_no_hours_the_field_says_to_leave_it_empty(room: Room) -> None:
    begin(room)
    room.post("/experiment/1", cup="F3", hatched="11")
    sent = room.post("/experiment/1", cup="N3", hatched="11", hours="24")
    assert sent.status_code == 422
    assert "The counts that stand have no hours: leave this empty." in main_of(sent)
    assert "1 of 12 cups counted." in main_of(sent), "hours that cannot be begin no other round"


def test_a_cup_that_is_lost_is_waited_for_no_more_and_the_result_says_so(room: Room) -> None:
    begin(room)
    first, *others = [code for codes in LEVELS.values() for code in codes.split()]
    for hatched, code in enumerate(others):
        room.post("/experiment/1", cup=code, hatched=str(hatched))
    assert "11 of 12 cups counted." in main_of(room.get("/experiment/1"))
    noted = room.post("/experiment/1/lost", lost=first)
    assert (noted.status_code, noted.headers["Location"]) == (303, f"/experiment/1?lost={first}")
    shown = room.get(f"/experiment/1?lost={first}")
    assert f"Noted: {first} is lost. It is counted no more." in main_of(shown)
    assert "The 11 cups that are left are counted." in main_of(shown)
    result = main_of(shown).partition("What it shows")[2]
    assert f"Lost cups: {first} at 10 g/L. What is shown is of the cups that are left." in result
    assert f'<td class="lost">{first}' in shown.text
    assert room.post("/experiment/1", cup=first, hatched="3").status_code == 422
    assert room.post("/experiment/1/lost", lost=first, back="yes").status_code == 303
    again = room.get(f"/experiment/1?lost={first}")
    assert f"{first} is not lost." in main_of(again)
    assert "What it shows stands here when all cups are counted" in main_of(again)


@pytest.mark.parametrize("code", ["", "A0", "<b>"])
def test_no_other_cup_can_be_lost(room: Room, code: str) -> None:
    begin(room)
    assert room.post("/experiment/1/lost", lost=code).status_code == 404
    assert room.rows("SELECT * FROM experiment_lost") == []


def test_a_change_that_is_sent_in_part_is_refused_in_a_line(room: Room) -> None:
    begin(room)
    answer = room.post("/experiment/1", correct="yes")
    assert answer.status_code == 422
    assert answer.text.count('role="alert"') == 1


def test_all_cups_are_counted_once_more_where_hours_tell_the_counts_apart(room: Room) -> None:
    begin(room)
    cups = [(level, code) for level, codes in LEVELS.items() for code in codes.split()]
    for _, code in cups:
        room.post("/experiment/1", cup=code, hatched="10", hours="24")
    first = room.get("/experiment/1")
    assert "At hour 24: All 12 cups are counted." in main_of(first)
    assert 'name="hatched"' not in first.text
    assert 'href="?anew=yes#count"' in first.text
    anew = room.get("/experiment/1?anew=yes").text
    assert 'id="hours" name="hours" value=""' in anew
    room.post("/experiment/1", cup=cups[0][1], hatched="31", hours="48")
    second = room.get("/experiment/1")
    assert "At hour 48: 1 of 12 cups counted." in main_of(second)
    assert 'id="hours" name="hours" value="48"' in second.text, "not typed for each cup"
    assert f'<option value="{cups[0][1]}"' not in second.text
    assert "What it shows stands here when all cups are counted" in main_of(second)
    for level, code in cups[1:]:
        room.post("/experiment/1", cup=code, hatched="31" if level == "10 g/L" else "12", hours="48")
    assert "Most hatched at 10 g/L: 62 of 100." in main_of(room.get("/experiment/1"))
    change = room.get(f"/experiment/1?cup={cups[0][1]}&hours=24").text
    assert '<input type="hidden" name="hours" value="24">' in change
    assert 'id="hours"' not in change, "a change is of that count, not of another hour"


def test_while_no_daemon_answers_nothing_is_begun_and_that_is_said(tmp_path: Path) -> None:
    with cold_room(tmp_path, at_home=False) as room:
        sent = begin(room)
        assert sent.status_code == 503
        assert "Does salt matter?" in main_of(sent)
        assert room.rows("SELECT * FROM experiment") == []


@pytest.mark.parametrize(
    "path",
    [
        *("/experiment/9", f"/experiment/{2**70}", "/paper/experiment?experiment=9", "/experiment/9.csv"),
        *("/paper/experiment?sheet=moon", "/experiment/x", "/experiment/-1"),
    ],
)
def test_what_is_not_there_is_not_found(room: Room, path: str) -> None:
    assert room.get(path).status_code == 404


def test_the_sheet_for_counting_tells_no_level_and_the_other_one_does(room: Room) -> None:
    assert "No experiment was begun." in main_of(room.get("/paper/experiment"))
    begin(room)
    blind, levels = (room.get(f"/paper/experiment?sheet={one}") for one in ("form", "levels"))
    assert "g/L" not in main_of(blind)
    assert all(main_of(blind).count(code) == 2 for codes in LEVELS.values() for code in codes.split())
    assert "10 g/L D4, F4, N3, X4" in main_of(levels)


TEXT = st.text(st.characters(codec="utf-8"), max_size=40)


@settings(max_examples=30, deadline=None)
@given(st.dictionaries(st.sampled_from([*MAP, "no_names", "other"]), TEXT))
def test_whatever_is_sent_is_answered(tmp_path_factory: pytest.TempPathFactory, sent: dict[str, str]) -> None:
    with cold_room(tmp_path_factory.mktemp("any")) as room:
        assert planned(room, **sent).status_code in (200, 303)
        assert begin(room, **sent).status_code in (303, 422)
        begin(room)
        count = {"cup": sent.get("levels", "F3"), "hatched": sent.get("cups", "1"), "of": sent.get("of", "")}
        assert room.post("/experiment/1", **count).status_code in (303, 404, 422)


def test_a_german_station_is_asked_in_german(tmp_path: Path) -> None:
    with cold_room(tmp_path, language="de") as room:
        assert "Was wollen Sie wissen?" in main_of(room.get("/plan/experiment"))
        # Every German noun begins with a capital: an idea is not asked about.
        assert begin(room, idea="Macht das Salz einen Unterschied?").status_code == 303
        assert "Sitzplan" in main_of(room.get("/experiment/1"))


def test_why_a_cup_is_lost_is_chosen_from_a_list_and_said_with_the_result(room: Room) -> None:
    begin(room)
    levels = {level: codes.split() for level, codes in LEVELS.items()}
    gone = levels["10 g/L"][0]
    assert 'name="why"' in room.get("/experiment/1").get_data(as_text=True)
    assert room.post("/experiment/1/lost", lost=gone, why="eaten").status_code == 404
    assert room.rows("SELECT * FROM experiment_lost") == []
    assert room.post("/experiment/1/lost", lost=gone, why="spilled").status_code == 303
    for code in (code for codes in levels.values() for code in codes if code != gone):
        room.post("/experiment/1", cup=code, hatched="9", of="", hours="")
    assert f"Lost cups: {gone} at 10 g/L (spilled)." in main_of(room.get("/experiment/1"))
