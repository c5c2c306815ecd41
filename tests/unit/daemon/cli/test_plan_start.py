"""`naupliad plan start` and `calendar`: what they print and write, what they refuse."""

import json
import re
import shutil
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from tests.kit.calendar_file import events_of
from tests.kit.command_line import Said, naupliad
from tests.kit.recordings import good, tape_rows, unix, write_care, write_tape
from tests.kit.station import probe, station_text, table, vessel
from tests.kit.undrawn import undrawn

LISBON = ZoneInfo("Europe/Lisbon")


def wednesday() -> str:
    """The day of a Wednesday one to two weeks ahead, by Lisbon's clock."""
    day = datetime.now(LISBON).date() + timedelta(days=8)
    return (day + timedelta(days=(2 - day.weekday()) % 7)).isoformat()


LESSON = f"{wednesday()}T10:00/{wednesday()}T11:30"


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "station.toml"
    lot = table("[[lot]]", id="spring tin", strain="great-salt-lake")
    path.write_text(station_text(driver="rehearsal") + "\n" + lot, encoding="utf-8")
    return path


def plan(file: Path, *words: str | Path, lesson: str = LESSON) -> Said:
    return naupliad("plan", "start", "--for", lesson, "--config", file, *words)


def told(said: Said) -> Any:
    assert (said.code, said.err) == (0, "")
    return json.loads(said.out)


def test_the_json_is_that_of_the_contract(file: Path) -> None:
    answer = told(plan(file, "--water-c", "22", "--water-c-night", "19", "--lot", "spring tin", "--json"))
    assert answer["options"]
    shares = [one["share_in_lesson"] for one in answer["options"]]
    assert shares == sorted(shares, reverse=True)
    for one in answer["options"]:
        set_at = datetime.fromisoformat(one["set_at"])
        assert set_at.astimezone(LISBON).utcoffset() == set_at.utcoffset()
        assert set_at.weekday() < 5
        assert 8 <= set_at.hour < 16
        for share in ("t10", "t50", "t90"):
            moments = [datetime.fromisoformat(one[share][part]) for part in ("p10", "p50", "p90")]
            assert moments == sorted(moments)
            assert moments[0] > set_at
        assert 0.0 <= one["share_in_lesson"] <= one["share_under_way"] <= 1.0
    assert {one["kind"] for one in answer["days"]} >= {"set", "light", "lesson", "first-feed", "wrap-up"}
    assert all({"at", "p10", "p50", "p90"} == set(one) for one in answer["picture"])
    assert [one["kind"] for one in answer["warnings"]] == ["low"]


def test_in_words_the_best_time_comes_first_with_its_chances_and_the_days(file: Path) -> None:
    said = plan(file, "--water-c", "22")
    assert (said.code, said.err) == (0, "")
    lines = said.out.splitlines()
    assert lines[0].startswith("When to set cysts for Wednesday")
    assert lines[2].startswith("Set the cysts on Tuesday")
    assert "of 100" in said.out or "of 10" in said.out
    assert "Wash your hands" in said.out
    assert "Day by day:" in said.out


def test_a_strain_of_the_station_file_moves_the_times(file: Path) -> None:
    """Great Salt Lake is slower than any [R, secondary]: the same start hatches later."""
    words = ("--water-c", "24", "--water-c-night", "24", "--json")
    any_tin, slow = (told(plan(file, *words, *lot)) for lot in ((), ("--lot", "spring tin")))
    ahead = [
        datetime.fromisoformat(one["options"][0]["t50"]["p50"])
        - datetime.fromisoformat(one["options"][0]["set_at"])
        for one in (any_tin, slow)
    ]
    assert ahead[0] < ahead[1]


def test_a_moment_is_taken_with_half_an_hour_to_either_side(file: Path) -> None:
    answer = told(plan(file, "--water-c", "22", "--json", lesson=f"{wednesday()}T10:45"))
    assert (answer["lesson"]["from"][11:16], answer["lesson"]["to"][11:16]) == ("10:15", "11:15")


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (
            ("--water-c", "warm"),
            "plan start: --water-c: found 'warm'; allowed: a number in °C or °F, such as 21.5",
        ),
        (
            ("--water-c", "220"),
            "plan start: --water-c: found '220'; allowed: °C from 0 to 45, such as 21.5 or 70F",
        ),
        (
            ("--water-c", "22", "--water-c-night", "x"),
            "plan start: --water-c-night: found 'x'; allowed: a number in °C or °F, such as 21.5",
        ),
        (("--water-c-night", "19"), "--water-c-night: found 19 without --water-c; allowed: with --water-c"),
        (("--water-c", "22", "--vessel", "cub"), "--vessel: found 'cub' (did you mean cup?); allowed: cup"),
    ],
)
def test_a_wrong_word_is_refused_in_one_line(file: Path, words: tuple[str, ...], line: str) -> None:
    said = plan(file, *words)
    assert (said.code, said.out) == (2, "")
    assert said.faults == [line]


def test_a_lesson_in_the_past_is_refused_in_one_line(file: Path) -> None:
    said = plan(file, "--water-c", "22", lesson="2026-03-10T10:00/2026-03-10T11:30")
    assert (said.code, said.out) == (2, "")
    (line,) = said.faults
    assert line.startswith("--for: found 2026-03-10T10:00+00:00 to 2026-03-10T11:30+00:00, which has begun")


@pytest.fixture(scope="module")
def played(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A day and a half of a warm cup, as `naupliad replay` leaves it."""
    place = tmp_path_factory.mktemp("played")
    began = unix("2027-01-14T08:00:00+00:00")
    (place / "station.toml").write_text(station_text(every_s=600), encoding="utf-8")
    tape = write_tape(place / "tape.csv", tape_rows(began, 216, good(26.0), 600))
    care = write_care(
        place / "care.csv", "2027-01-14T09:00:00+00:00,cup,set,0.05,g,salt_g_per_l=25;lot=spring"
    )
    with undrawn():
        said = naupliad(
            *("replay", tape, "--care", care, "--config", place / "station.toml", "--out", place / "state")
        )
    assert (said.code, said.err) == (0, "")
    return place / "state"


JANUARY = "2027-01-20T10:00/2027-01-20T11:30"


def test_without_stated_water_it_goes_by_what_the_station_has_learned(played: Path) -> None:
    said = naupliad("plan", "start", "--for", JANUARY, "--state", played)
    assert (said.code, said.err) == (0, "")
    assert "The water is forecast from what the station has learned of cup." in said.out
    warm = told(naupliad("plan", "start", "--for", JANUARY, "--state", played, "--json"))
    cool = told(naupliad("plan", "start", "--for", JANUARY, "--state", played, "--water-c", "19", "--json"))
    assert warm["options"][0]["set_at"] > cool["options"][0]["set_at"]


def test_a_mistyped_tin_is_said_to_be_none(file: Path, played: Path) -> None:
    words = ("--water-c", "24", "--water-c-night", "24")
    assert "Cysts: no tin spring tun is known, so as of any" in plan(file, *words, "--lot", "spring tun").out
    assert (
        "Cysts: spring tin. Its earlier hatches could not be looked up here"
        in plan(file, *words, "--lot", "spring tin").out
    )
    records = ("plan", "start", "--for", JANUARY, "--state", played, "--lot")
    assert "Cysts: spring, of which no hatch was seen yet" in naupliad(*records, "spring").out
    assert "Cysts: no tin sprong is known, so as of any" in naupliad(*records, "sprong").out


def test_a_plan_writes_nothing(played: Path) -> None:
    before = {path: path.read_bytes() for path in played.rglob("*") if path.is_file()}
    naupliad("plan", "start", "--for", JANUARY, "--state", played)
    assert {path: path.read_bytes() for path in played.rglob("*") if path.is_file()} == before


def test_without_stated_water_and_without_records_the_line_says_what_to_give(
    file: Path, tmp_path: Path
) -> None:
    said = plan(file)
    assert said.code == 2
    (line,) = said.faults
    assert line.startswith("--water-c: found none")


def test_the_calendar_has_an_entry_for_each_of_the_days(file: Path, tmp_path: Path) -> None:
    words = ("--for", LESSON, "--config", file, "--water-c", "22")
    out = tmp_path / "start.ics"
    said = naupliad("plan", "calendar", *words, "--out", out)
    assert (said.code, said.err) == (0, "")
    events = events_of(out.read_bytes())
    days = told(plan(file, "--water-c", "22", "--json"))["days"]
    assert len(events) == len(days)
    assert [event["SUMMARY"] for event in events if "lesson" in event["SUMMARY"]] == ["cup: The lesson"]
    (set_,) = [event for event in events if event["SUMMARY"] == "cup: Set the cysts"]
    assert "Four times in five" in set_["DESCRIPTION"]
    assert "Wash your hands" in set_["DESCRIPTION"]
    assert (set_["VALARM-TRIGGER"], set_["VALARM-ACTION"]) == ("-PT30M", "DISPLAY")
    (hatch,) = [event for event in events if event["SUMMARY"].startswith("cup: Half hatched")]
    ends = [f"{hatch[name][11:13]}{hatch[name][13:15]}" for name in ("DTSTART", "DTEND")]
    assert all(end[-2:] in ("00", "30") for end in ends)
    again = naupliad("plan", "calendar", *words, "--out", out)
    assert (again.code, len(again.faults)) == (2, 1)
    anew = naupliad("plan", "calendar", *words, "--out", out, "--replace")
    assert anew.code == 0
    assert [event["UID"] for event in events_of(out.read_bytes())] == [event["UID"] for event in events]


def test_a_plan_that_is_kept_is_listed_and_taken_back(played: Path, tmp_path: Path) -> None:
    state = shutil.copytree(played, tmp_path / "state")
    wish = ("plan", "start", "--for", JANUARY, "--water-c", "24", "--state", state, "--keep")
    number = told(naupliad(*wish, "--json"))["kept"]
    listed = told(naupliad("plan", "kept", "--state", state, "--json"))["kept"]
    assert [(one["id"], one["vessel"]) for one in listed] == [(number, "cup")]
    assert listed[0]["lesson"]["from"] == "2027-01-20T10:00:00+00:00"
    assert f"kept as {number}:" in naupliad(*wish).out
    entries = naupliad("export", "--calendar", tmp_path / "all.ics", "--state", state)
    assert entries.code == 0
    titles = [event["SUMMARY"] for event in events_of((tmp_path / "all.ics").read_bytes())]
    assert "cup: Set the cysts" in titles
    wrong = naupliad("plan", "kept", "--withdraw", "99", "--state", state)
    assert (wrong.code, wrong.faults) == (2, [f"--withdraw: found 99; allowed: {number}"])
    gone = naupliad("plan", "kept", "--withdraw", str(number), "--state", state)
    assert (gone.code, gone.out) == (0, "no planned start stands\n")


def test_a_plan_is_not_kept_where_there_are_no_records(file: Path, tmp_path: Path) -> None:
    said = plan(file, "--water-c", "22", "--keep", "--state", tmp_path / "nowhere")
    assert (said.code, len(said.faults)) == (2, 1)
    assert not (tmp_path / "nowhere").exists()


def test_water_too_cold_has_no_date_no_days_and_no_calendar(file: Path, tmp_path: Path) -> None:
    said = plan(file, "--water-c", "8")
    assert (said.code, said.err) == (0, "")
    assert "later than a month on, or never" in said.out
    assert "a warmer place" in said.out
    for none_of in ("Set the cysts", "have hatched", "Day by day", "Hatched by then", "Other days"):
        assert none_of not in said.out
    answer = told(plan(file, "--water-c", "8", "--json"))
    assert (answer["options"], answer["days"], answer["picture"], answer["hedge"]) == ([], [], [], None)
    assert [one["kind"] for one in answer["warnings"]] == ["never"]
    out = tmp_path / "cold.ics"
    words = ("--for", LESSON, "--config", file, "--water-c", "8", "--out", out)
    calendar = naupliad("plan", "calendar", *words)
    assert (calendar.code, calendar.out, len(calendar.faults)) == (1, "", 1)
    assert "later than a month on, or never" in calendar.faults[0]
    assert not out.exists()


@pytest.mark.parametrize(
    ("attended", "water", "night", "kind"),
    [
        ("08:00-13:00", "14", "12", "late"),
        ("06:00-20:00", "14", "12", "wide"),
        ("06:00-20:00", "12", "12", "late"),
    ],
)
def test_water_so_cold_that_times_are_no_use_opens_with_a_warmer_place_and_names_no_time(
    file: Path, attended: str, water: str, night: str, kind: str
) -> None:
    """Nobody published times below 15 °C: what is calculated there is a guess of days or weeks."""
    where = re.sub(r"Mon-Fri [0-9:]+-[0-9:]+", f"Mon-Fri {attended}", file.read_text())
    file.write_text(where, encoding="utf-8")
    words = ("--water-c", water, "--water-c-night", night)
    said = plan(file, *words)
    assert said.out.split("\n\n")[1].startswith("! Take a warmer place, or hold the water warm with a heater")
    for none_of in ("Set the cysts", "Other days", "Hatched by then", "Day by day", "For a lesson on"):
        assert none_of not in said.out
    answer = told(plan(file, *words, "--json"))
    assert answer["warnings"][0]["kind"] == kind
    assert (answer["options"], answer["days"], answer["instead"]) == ([], [], [])


def test_a_lesson_that_cannot_be_met_makes_no_calendar(file: Path, tmp_path: Path) -> None:
    day = datetime.fromisoformat(wednesday())
    monday = (day + timedelta(days=5)).date().isoformat()
    file.write_text(file.read_text().replace("Mon-Fri", "Mon-Tue"), encoding="utf-8")
    out = tmp_path / "mon.ics"
    words = ("--for", f"{monday}T10:00/{monday}T11:30", "--config", file, "--water-c", "24", "--out", out)
    said = naupliad("plan", "calendar", *words)
    assert (said.code, said.out, len(said.faults)) == (1, "", 1)
    assert said.faults[0].startswith("--for: found no days for a calendar. No time at which somebody is")
    assert not out.exists()


def test_chances_are_of_a_hundred_throughout(file: Path) -> None:
    said = plan(file, "--water-c", "22", "--water-c-night", "19").out
    assert " of 100" in said
    assert not re.search(r"of 10\b", said)


def test_a_heated_cone_is_said_to_be_as_warm_as_its_heater_holds_it(tmp_path: Path) -> None:
    path = tmp_path / "cone.toml"
    cone = vessel("cone", "cup-water", kind="cone", heater_c=27.0)
    path.write_text(station_text(probe("cup-water"), cone), encoding="utf-8")
    said = plan(path, "--water-c", "14")
    assert "hold 27.0 °C day and night, warmer than the 14.0 °C stated" in said.out
    assert "Water: 14.0" not in said.out


def test_what_cannot_be_met_names_the_hour_another_lesson_and_swimmers(file: Path) -> None:
    monday = (datetime.fromisoformat(wednesday()) + timedelta(days=5)).date().isoformat()
    lesson = f"{monday}T10:00/{monday}T11:30"
    water = ("--water-c", "24", "--water-c-night", "22")
    answer = told(plan(file, *water, "--json", lesson=lesson))
    hour, other = answer["instead"]
    assert hour["lesson"]["from"][:10] == monday < other["lesson"]["from"][:10]
    assert hour["share_in_lesson"] > 0.05
    assert 0.5 <= answer["swimmers"]["p10"] <= answer["swimmers"]["p90"] <= 1.0
    said = plan(file, *water, lesson=lesson).out
    assert "If somebody can come and set the cysts on Sunday" in said
    assert "For a lesson on" in said
    assert "So that animals swim already: set the cysts on Friday" in said
    assert "With a tin known" not in said


def test_of_a_tin_whose_hatches_were_seen_no_trial_is_asked(played: Path, tmp_path: Path) -> None:
    state = shutil.copytree(played, tmp_path / "state")
    words = ("plan", "start", "--for", JANUARY, "--state", state, "--water-c", "24", "--lot", "spring")
    trial = "With a tin known from earlier hatches"
    assert trial in naupliad(*words).out
    said = naupliad("care", "add", "cup", "first-swimmer", "--at", "2027-01-15T18:00", "--state", state)
    assert said.code == 0, said.err
    seen = naupliad(*words).out
    assert "as earlier hatches of it went" in seen
    assert trial not in seen


def test_what_may_never_hatch_is_not_kept(played: Path, tmp_path: Path) -> None:
    state = shutil.copytree(played, tmp_path / "state")
    words = ("plan", "start", "--for", JANUARY, "--state", state, "--water-c", "12", "--water-c-night", "12")
    said = naupliad(*words, "--keep")
    assert (said.code, len(said.faults)) == (2, 1)
    assert "--keep: found no days" in said.faults[0]
    assert naupliad("plan", "kept", "--state", state).out == "no planned start stands\n"


def test_water_is_taken_with_a_comma_and_in_fahrenheit_and_a_swap_is_asked_about(file: Path) -> None:
    plain = plan(file, "--water-c", "21.5", "--water-c-night", "18").out
    assert plan(file, "--water-c", "21,5", "--water-c-night", "18 °C").out == plain
    assert "Water: 22.0 °C" in plan(file, "--water-c", "71.6F").out
    assert "swapped" not in plain
    assert "see whether the two were swapped" in plan(file, "--water-c", "18", "--water-c-night", "21").out


def test_each_of_the_days_bears_its_date(file: Path) -> None:
    _, list_ = plan(file, "--water-c", "22").out.split("Day by day:\n")
    days, _, amounts = list_.partition("\n\n")
    lines = days.splitlines()
    assert len(lines) > 6
    assert "naupliad" not in days  # the list is for whoever sets, the line below for whoever types
    assert amounts.startswith("For the amounts: naupliad plan dose --vessels ")
    for line in lines:
        assert re.match(r"(Mon|Tue|Wed|Thu|Fri|Sat|Sun) \d{1,2} [A-Z][a-z]{2} at \d\d:\d\d to ", line), line


def test_litres_count_as_litres() -> None:
    same = [naupliad("plan", "dose", "--vessels", "2", "--volume-ml", text).out for text in ("2L", "2000")]
    assert same[0] == same[1] != ""


needs_no_file = pytest.mark.skipif(
    Path("/etc/naupliad/station.toml").exists(), reason="this machine has a station file at its usual place"
)


@needs_no_file
def test_without_a_station_file_usual_school_hours_are_assumed_and_said() -> None:
    words = ("plan", "start", "--for", LESSON, "--water-c", "22", "--timezone", "Europe/Lisbon")
    said = naupliad(*words)
    assert (said.code, said.err) == (0, "")
    assert "Monday to Friday 08:00 to 15:30, time zone Europe/Lisbon" in said.out
    assert "Holidays are not known here" in said.out
    evening = ("--for", LESSON.replace("T10:00", "T18:00").replace("T11:30", "T19:00"))
    assert "usual school hours have nobody there" in naupliad(*words[:2], *evening, *words[4:]).out
    answer = told(naupliad(*words, "--json"))
    assert answer["assumed_hours"] == "school"
    for one in answer["options"]:
        set_at = datetime.fromisoformat(one["set_at"])
        assert set_at.weekday() < 5
        assert 8 <= set_at.hour < 16
    assert naupliad(*words[:-2]).code == 0  # the machine's own


@needs_no_file
def test_without_a_station_file_and_water_the_line_says_what_to_give() -> None:
    said = naupliad("plan", "start", "--for", LESSON)
    assert (said.code, len(said.faults)) == (2, 1)
    assert said.faults[0].startswith("--config: found no station file at /etc/naupliad/station.toml")
    wrong = naupliad("plan", "start", "--for", LESSON, "--water-c", "22", "--timezone", "Lisbon")
    assert (wrong.code, len(wrong.faults)) == (2, 1)
    assert wrong.faults[0].startswith("--timezone: found 'Lisbon'")


def test_a_time_zone_beside_a_station_file_is_refused(file: Path) -> None:
    said = plan(file, "--water-c", "22", "--timezone", "Europe/Lisbon")
    assert said.faults == ["--timezone: found 'Europe/Lisbon'; allowed: only without a station file"]


def test_without_attended_hours_waking_hours_are_assumed_and_said(tmp_path: Path) -> None:
    path = tmp_path / "open.toml"
    path.write_text(station_text(driver="rehearsal", attended=[]), encoding="utf-8")
    assert "so 07:00 to 21:00 is assumed" in plan(path, "--water-c", "22").out
    for day in told(plan(path, "--water-c", "22", "--json"))["days"]:
        if day["kind"] not in ("hatch", "lesson"):
            assert 7 <= datetime.fromisoformat(day["from"]).hour < 21


def test_buying_names_the_command_for_the_amounts(file: Path) -> None:
    assert "naupliad plan dose --vessels 1 --volume-ml 250" in plan(file, "--water-c", "22").out
    assert naupliad("plan", "dose", "--vessels", "1", "--volume-ml", "250").code == 0


def test_without_a_file_the_calendar_is_printed(file: Path) -> None:
    said = naupliad("plan", "calendar", "--for", LESSON, "--config", file, "--water-c", "22")
    assert said.code == 0
    assert said.out.startswith("BEGIN:VCALENDAR")


def test_for_swimmers_it_is_planned_with_days_in_words_json_and_calendar(file: Path, tmp_path: Path) -> None:
    monday = (datetime.fromisoformat(wednesday()) + timedelta(days=5)).date().isoformat()
    lesson, water = f"{monday}T08:30/{monday}T09:15", ("--water-c", "22")
    assert "Its days: the same command with --swimmers." in plan(file, *water, lesson=lesson).out
    instead = told(plan(file, *water, "--json", lesson=lesson))["swimmers"]
    answer = told(plan(file, *water, "--swimmers", "--json", lesson=lesson))
    (best,) = answer["options"]
    assert best["set_at"] == instead["set_at"]
    assert best["share_out"] == {part: instead[part] for part in ("p10", "p50", "p90")}
    assert answer["swimmers"] is None
    assert {one["kind"] for one in answer["days"]} >= {"water", "set", "lesson", "first-feed", "wrap-up"}
    out = tmp_path / "swim.ics"
    words = ("--for", lesson, "--config", file, *water, "--swimmers", "--out", out)
    assert naupliad("plan", "calendar", *words).code == 0
    events = events_of(out.read_bytes())
    assert len(events) == len(answer["days"])
    (setting,) = [one for one in events if one["SUMMARY"].endswith("Set the cysts")]
    assert "animals swim" in setting["DESCRIPTION"]


def test_where_swimmers_come_too_late_the_first_lesson_that_works_is_named_and_works(file: Path) -> None:
    """One on the second day after holidays: people left more than ten days before."""
    today = datetime.now(ZoneInfo("Europe/Lisbon")).date()
    monday = today + timedelta(days=7 - today.weekday())
    holidays = f"{monday}/{monday + timedelta(days=15)}"  # to a Tuesday
    text = file.read_text("utf-8").replace("\n[[probe]]", f'\naway = ["{holidays}"]\n\n[[probe]]', 1)
    file.write_text(re.sub(r"\naway = \[\]", "", text), encoding="utf-8")
    day = monday + timedelta(days=16)
    words = ("--swimmers", "--water-c", "21", "--water-c-night", "18", "--json")
    answer = told(plan(file, *words, lesson=f"{day}T10:00/10:45"))
    assert answer["options"] == []
    (way,) = answer["instead"]
    began, ended = (datetime.fromisoformat(way["lesson"][end]) for end in ("from", "to"))
    assert day < began.date() < day + timedelta(days=14)
    assert way["share_out"]["p10"] >= 0.5
    assert way["set_at"] < way["lesson"]["from"]
    taken = told(plan(file, *words, lesson=f"{began:%Y-%m-%dT%H:%M}/{ended:%Y-%m-%dT%H:%M}"))
    assert taken["options"][0]["set_at"] == way["set_at"]
    before = began - timedelta(days=1)
    if day < before.date() and before.weekday() < 5:
        sooner = f"{before:%Y-%m-%dT%H:%M}/{before:%Y-%m-%d}T10:45"
        assert told(plan(file, *words, lesson=sooner))["options"] == []
    said = plan(file, *words[:-1], lesson=f"{day}T10:00/10:45")
    assert "The first lesson in which animals can swim already, at the same hours: " in said.out


def test_where_it_is_too_cold_for_swimmers_a_warmer_place_is_named(file: Path) -> None:
    words = ("--swimmers", "--water-c", "14", "--water-c-night", "12")
    said = plan(file, *words)
    assert "Take a warmer place, or hold the water warm with a heater" in said.out
    assert "The first lesson in which" not in said.out
    assert "cold-swim" in [one["kind"] for one in told(plan(file, *words, "--json"))["warnings"]]
