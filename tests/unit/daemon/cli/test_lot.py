"""`naupliad lot`: what it says of a tin, to people and to programs."""

import json
from pathlib import Path
from typing import Any

import pytest

from daemon.store import runs as run_store
from daemon.store.file import WritingStore
from tests.kit.command_line import naupliad
from tests.kit.station import probe, station_text, table, vessel
from tests.kit.tin_station import tin_station


def test_the_test_answers_programs_as_the_contract_has_it() -> None:
    said = naupliad("lot", "test", "--put", "50", "--hatched", "38", "--json")
    answer = json.loads(said.out)
    assert (said.code, said.err) == (0, "")
    assert (answer["share"], answer["verdict"]) == (0.76, "go")
    # Newcombe 1998, method 3, by scipy.stats.binomtest(38, 50).proportion_ci(method="wilson").
    assert (answer["low"], answer["high"]) == pytest.approx((0.625873, 0.857026), abs=1e-6)
    assert answer["enough_h"].keys() == {"20", "22", "25", "28"}


def test_with_hours_and_warmth_it_may_ask_for_more_time() -> None:
    words = ("lot", "test", "--put", "50", "--hatched", "20", "--hours", "20", "--water-c", "20")
    answer = json.loads(naupliad(*words, "--json").out)
    assert (answer["verdict"], answer["long_enough"]) == ("more time", False)
    assert answer["share_in_the_end"]["p10"] > answer["share"]
    said = naupliad(*words).out.splitlines()
    assert said[0] == "Too early to say: give it more time."
    assert any(line.startswith(f"Look again {-(-answer['enough_h'] // 1):.0f} hours after") for line in said)


def test_umbrellas_and_full_cysts_are_counted_apart(tmp_path: Path) -> None:
    words = ("lot", "test", "--put", "50", "--hatched", "20", "--umbrella", "6", "--full-left", "14")
    answer = json.loads(naupliad(*words, "--json").out)
    assert (answer["verdict"], answer["umbrella"], answer["full_left"]) == ("more time", 6, 14)
    trade = answer["hatching_fraction"]
    # 20 of 40 full cysts, by scipy.stats.binomtest(20, 40).proportion_ci(method="wilson").
    assert (trade["share"], trade["low"], trade["high"]) == pytest.approx((0.5, 0.351995, 0.648005), abs=1e-6)
    said = naupliad(*words).out.splitlines()
    assert said[0] == "Too early to say: give it more time."
    assert "Hatching percentage, of full cysts alone: 50 % (35 to 65 %, 95 times in 100); 20 of 40." in said
    assert "6 more hang below their shells (umbrella stage): they are on their way." in said
    assert "Look again 12 hours later, and count them too." in said
    assert json.loads(naupliad(*words[:6], "--json").out)["hatching_fraction"] is None


@pytest.mark.parametrize("hatched", ["0", "50"])
def test_after_a_long_enough_test_none_are_still_to_come(hatched: str) -> None:
    words = ("lot", "test", "--put", "50", "--hatched", hatched, "--hours", "60", "--water-c", "22")
    answer = json.loads(naupliad(*words, "--json").out)
    assert (answer["long_enough"], answer["share_in_the_end"]) == (True, None)
    said = naupliad(*words).out
    assert "After 60 hours at 22 °C a usual tin has" in said
    assert "still to come" not in said


def test_never_fewer_are_to_hatch_than_have() -> None:
    words = ("lot", "test", "--put", "50", "--hatched", "50", "--hours", "20", "--water-c", "22")
    answer = json.loads(naupliad(*words, "--json").out)
    assert answer["share_in_the_end"] == {"p10": 1.0, "p50": 1.0, "p90": 1.0}
    assert "With those still to come, of all cysts: more than 99 %." in naupliad(*words).out


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (("--put", "50", "--hatched", "38"), "For 20 animals in a cup: about 27 cysts (24 to 32)."),
        (("--put", "50", "--hatched", "20"), "count"),
        (("--put", "50", "--hatched", "25"), "Near to half: counting more hardly tells."),
        (("--put", "120", "--hatched", "60"), "Set twice the cysts, or get another tin."),
        (("--put", "50", "--hatched", "1"), "Too few hatch"),
        (
            ("--put", "50", "--hatched", "1", "--hours", "60", "--water-c", "10"),
            "keep the dish at 20 to 28 °C",
        ),
    ],
)
def test_it_says_what_to_do_next(words: tuple[str, ...], line: str) -> None:
    said = naupliad("lot", "test", *words)
    assert (said.code, said.err) == (0, "")
    assert line in said.out


@pytest.mark.parametrize(
    ("words", "fault"),
    [
        (("--put", "12.5"), "lot test: --put: found '12.5'; allowed: a whole number, such as 28"),
        (("--hours", "two"), "lot test: --hours: found 'two'; allowed: a number in h, such as 48"),
    ],
)
def test_what_is_no_number_is_said_in_one_line(words: tuple[str, ...], fault: str) -> None:
    said = naupliad("lot", "test", "--put", "50", "--hatched", "38", *words)
    assert (said.code, said.out, said.faults) == (2, "", [fault])


@pytest.fixture
def station_file(tmp_path: Path) -> Path:
    lots = (
        table("[[lot]]", id="early", strain="pozos-colorados"),
        table("[[lot]]", id="late", strain="great-salt-lake", opened="2001-01-01"),
    )
    path = tmp_path / "station.toml"
    cup = (probe("water"), vessel("cup", "water"))
    path.write_text(station_text(*cup, *lots, language="de", temperature_unit="F"), encoding="utf-8")
    return path


def test_a_named_tin_is_judged_by_its_strain_in_the_stations_language_and_unit(station_file: Path) -> None:
    words = ("lot", "test", "--put", "50", "--hatched", "20", "--hours", "30", "--water-c", "25")
    early, late = (
        json.loads(naupliad(*words, "--config", station_file, "--lot", lot, "--json").out)
        for lot in ("early", "late")
    )
    assert (early["verdict"], late["verdict"]) == ("count more", "more time")
    said = naupliad(*words, "--config", station_file, "--lot", "late").out
    assert "77" in said  # 25 °C in °F
    assert "hours" not in said


def test_a_tin_that_nobody_named_is_refused_with_those_there_are(station_file: Path) -> None:
    said = naupliad("lot", "test", "--put", "5", "--hatched", "4", "--lot", "blue", "--config", station_file)
    assert (said.code, said.out) == (2, "")
    assert said.err == "--lot: found 'blue'; allowed: early, late\n"


def test_what_cannot_be_is_refused_with_a_line_for_each_fault() -> None:
    said = naupliad("lot", "test", "--put", "5", "--hatched", "6", "--hours", "999")
    assert (said.code, said.out, len(said.faults)) == (2, "", 3)
    assert said.faults[0] == "--hatched: found 6; allowed: 0 to 5 animals"


@pytest.fixture(scope="module")
def state(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tin_station(tmp_path_factory.mktemp("tins"), played=True)


def listed(state: Path) -> dict[str, dict[str, Any]]:
    said = naupliad("lot", "list", "--state", state, "--json")
    assert (said.code, said.err) == (0, "")
    return {one["lot"]: one for one in json.loads(said.out)}


def test_the_list_has_the_tins_of_the_file_and_those_that_stand_in_the_care_log(state: Path) -> None:
    assert list(listed(state)) == ["spring", "unused", "old <tin>"]


def test_a_tin_says_what_was_used_of_it_what_is_left_and_where_it_is_kept(state: Path) -> None:
    spring = listed(state)["spring"]
    assert spring["used_g"] == pytest.approx(5 * 24 * 0.05)
    assert spring["left_g"] == pytest.approx(44.0)
    assert (spring["opened"], spring["stored"], spring["cysts_per_g"]) == ("2026-06-01", "fridge", 252_678)
    assert spring["hatchable_share"]["p50"] < 0.45


def test_each_batch_has_the_measures_that_were_counted_and_null_for_the_others(state: Path) -> None:
    tins = listed(state)
    first, by_water = tins["spring"]["batches"][0], tins["old <tin>"]["batches"][0]
    assert first["hatching_fraction"]["hatched"] == 88
    assert first["hatching_fraction"]["p10"] < 0.88 < first["hatching_fraction"]["p90"]
    assert (first["t10_h"]["p50"], first["t90_h"]["p90"], first["synchrony_h"]["p50"]) == (20.0, 33.0, 12.0)
    assert first["efficiency_per_g"] is None
    assert by_water["hatching_fraction"] is None
    assert by_water["efficiency_per_g"]["p50"] == pytest.approx(300 * 800 / 2.0)
    assert (by_water["t50_h"], by_water["synchrony_h"]) == (None, None)


def test_a_tin_that_falls_off_says_so_and_others_do_not(state: Path, tmp_path: Path) -> None:
    assert listed(state)["spring"]["trend"]["falls"]
    assert listed(state)["unused"]["trend"] is None
    assert "This tin falls off: over 5 counts" in naupliad("lot", "list", "--state", state).out
    steady = tin_station(tmp_path / "steady", (70, 74, 68, 71, 69), played=True)
    assert not listed(steady)["spring"]["trend"]["falls"]
    assert "falls off" not in naupliad("lot", "list", "--state", steady).out


def test_people_read_the_measures_by_their_names_and_what_was_not_counted(state: Path) -> None:
    said = naupliad("lot", "list", "--state", state).out
    for line in (
        "Used: 6 g.",
        "Left: about 44 g.",
        "Kept in the fridge.",
        "    Hatching percentage, counted: 88 % (83 to 92); 88 of 100",
        "    Nauplii per gram, counted: not counted",
        "    T50, calculated: 25 h (24 to 26)",
        "    Synchrony (T90 − T10), calculated: 12 h (12 to 12)",
        "    Hatching percentage, counted: not counted",
    ):
        assert line in said.splitlines()


def test_a_station_without_tins_says_where_they_are_named(tmp_path: Path) -> None:
    store = WritingStore(tmp_path, durable=False)
    with store.transaction() as connection:
        text = station_text(probe("water"), vessel("cup", "water"))
        run_store.keep_station_file(connection, 1_800_000_000, text)
    store.close()
    said = naupliad("lot", "list", "--state", tmp_path)
    assert (said.code, said.out) == (
        0,
        "No tin is named yet: name it when you set a batch, or in the station file.\n",
    )


def test_a_tin_of_the_care_log_can_be_tested_by_its_name(state: Path) -> None:
    words = ("lot", "test", "--put", "5", "--hatched", "4", "--state", state, "--lot")
    assert naupliad(*words, "old <tin>").code == 0
    assert naupliad(*words, "mistaken").code == 2


@pytest.fixture
def own_state(tmp_path: Path) -> Path:
    return tin_station(tmp_path / "own")


KEPT = ("--put", "100", "--hatched", "20", "--hours", "72", "--water-c", "25", "--keep")


def test_a_kept_test_counts_in_what_is_expected_of_its_tin_until_it_is_withdrawn(own_state: Path) -> None:
    before = listed(own_state)["unused"]["hatchable_share"]
    said = naupliad("lot", "test", *KEPT, "--lot", "unused", "--state", own_state)
    assert (said.code, said.err) == (0, "")
    assert said.out.splitlines()[-2:] == [
        "Kept as test 1 of unused. To take it back:",
        "naupliad lot withdraw 1",
    ]
    unused = listed(own_state)["unused"]
    assert [(one["id"], one["put"], one["hatched"], one["hours"]) for one in unused["tests"]] == [
        (1, 100, 20, 72.0)
    ]
    assert unused["hatchable_share"]["p90"] < 0.45 < before["p50"]
    assert "Test 1, " in naupliad("lot", "list", "--state", own_state).out
    answer = json.loads(naupliad("lot", "withdraw", "1", "--state", own_state, "--json").out)
    assert answer == {"id": 1, "lot": "unused"}
    assert listed(own_state)["unused"]["tests"] == []
    assert listed(own_state)["unused"]["hatchable_share"] == before


def keep(state: Path, *words: object) -> list[str]:
    """The lines that a test in good warmth, kept, is answered with."""
    fixed = ("--put", "120", "--hours", "60", "--water-c", "25", "--keep", "--state", state)
    said = naupliad("lot", "test", *fixed, *words)
    assert (said.code, said.err) == (0, "")
    return said.out.splitlines()


def test_dishes_that_disagree_are_said_to_at_once_and_in_the_list(own_state: Path) -> None:
    for hatched in (96, 110):
        assert not any("disagree" in line for line in keep(own_state, "--hatched", hatched, "--lot", "tin E"))
    assert any("disagree" in line for line in keep(own_state, "--hatched", "60", "--lot", "tin E"))
    said = keep(own_state, "--hatched", "30", "--lot", "tin E")
    assert said[0] == "Too few hatch: get another tin."
    alarm = next(line for line in said if "disagree" in line)
    assert alarm.startswith("The counts of this tin disagree: from 25 % to 92 %.")
    tin = listed(own_state)["tin E"]
    assert (tin["disagree"], tin["trend"]) == ({"low": 0.25, "high": pytest.approx(110 / 120)}, None)
    assert tin["hatchable_share"]["p10"] < 0.25
    expected = next(line for line in said if line.startswith("Expected of the next batch"))
    lines = naupliad("lot", "list", "--state", own_state).out.splitlines()
    assert "anything from" in expected
    assert expected.endswith("as the counts disagree.")
    assert {alarm, expected} <= set(lines)
    of_tin = lines[lines.index("tin E") :]
    assert not any("which chance" in line for line in of_tin[: of_tin.index("")])


def test_tests_told_later_make_a_trend_by_when_they_were_counted(own_state: Path) -> None:
    for hatched, day in ((24, "14"), (110, "04"), (30, "10"), (60, "07")):
        moment = f"2026-10-{day} 12:00"
        said = keep(own_state, "--hatched", hatched, "--lot", "tin E", "--at", moment)
    assert any(
        line.startswith("This tin falls off: over 4 counts from about 92 % to about 20 %") for line in said
    )
    tin = listed(own_state)["tin E"]
    assert tin["trend"]["last"] == 0.2
    assert tin["hatchable_share"]["p10"] < 0.2 < tin["hatchable_share"]["p90"]
    assert [one["at"][:10] for one in tin["tests"]] == [f"2026-10-{day}" for day in ("04", "07", "10", "14")]
    ahead = naupliad("lot", "test", *KEPT, "--lot", "x", "--state", own_state, "--at", "2199-01-01 08:00")
    assert (ahead.code, len(ahead.faults)) == (2, 1)
    alone = naupliad("lot", "test", "--put", "5", "--hatched", "4", "--at", "08:00")
    assert alone.faults == ["--at: found without --keep; allowed: with it, for a test that is kept"]


def test_a_second_dish_of_the_same_figures_is_a_second_test_and_is_asked_about(own_state: Path) -> None:
    keep(own_state, "--hatched", "71", "--lot", "unused")
    said = keep(own_state, "--hatched", "71", "--lot", "unused")
    assert said[-3:] == [
        "Test 1 says the same: is this a second dish? Else take it back.",
        "Kept as test 2 of unused. To take it back:",
        "naupliad lot withdraw 2",
    ]
    assert len(listed(own_state)["unused"]["tests"]) == 2


def test_a_tin_in_another_spelling_is_asked_about_before_it_is_kept(own_state: Path) -> None:
    words = ("lot", "test", *KEPT, "--state", own_state)
    for name in ("Unused", "un-used", "UN USED"):
        said = naupliad(*words, "--lot", name)
        assert (said.code, said.out) == (2, "")
        (fault,) = said.faults
        assert fault.startswith(
            f"--lot: found '{name}', and no tin was called so before (did you mean unused?)"
        )
    assert all(one["tests"] == [] for one in listed(own_state).values())
    assert naupliad(*words, "--lot", "Unused", "--new-tin").code == 0
    assert len(listed(own_state)["Unused"]["tests"]) == 1
    assert naupliad(*words, "--lot", "unused 1").code == 2
    assert naupliad(*words, "--lot", "box 1").code == naupliad(*words, "--lot", "box 2").code == 0
    refused = naupliad("lot", "test", "--put", "5", "--hatched", "4", "--lot", "sprong", "--state", own_state)
    assert refused.faults[0].startswith("--lot: found 'sprong' (did you mean spring?); allowed: ")


def test_more_than_can_have_hatched_is_asked_about_and_does_not_count(own_state: Path) -> None:
    cold = ("lot", "test", "--put", "120", "--hatched", "30", "--hours", "30", "--water-c", "12")
    before = listed(own_state)["unused"]["hatchable_share"]
    said = naupliad(*cold, "--lot", "unused", "--keep", "--state", own_state).out.splitlines()
    assert said[0] == "Are hours and warmth right? So many cannot have hatched yet."
    assert not any("still to come" in line for line in said)
    assert json.loads(naupliad(*cold, "--json").out)["doubted"]
    assert listed(own_state)["unused"]["hatchable_share"] == before
    shown = naupliad("lot", "list", "--state", own_state).out
    assert "at 12.0 °C. Not used: at that warmth so many cannot have hatched yet." in shown


@pytest.mark.parametrize(
    ("hours", "water_c", "line"),
    [
        ("60", "25", "a usual tin has more than 99 % of its hatch behind it; a slow one too."),
        ("30", "24", "a usual tin has more than 99 % of its hatch behind it; a slow one "),
        ("20", "20", "a usual tin has less than 1 % of its hatch behind it; a quick one "),
        ("30", "12", "a usual tin has less than 1 % of its hatch behind it; a quick one too."),
        ("24", "28", "of its hatch behind it; a slow one "),
    ],
)
def test_how_far_a_slow_tin_is_by_then_is_said_and_nothing_twice(hours: str, water_c: str, line: str) -> None:
    said = naupliad(
        "lot", "test", "--put", "120", "--hatched", "30", "--hours", hours, "--water-c", water_c
    ).out
    assert line in said
    assert "99 % to 100 %" not in said


def test_a_new_tin_is_named_by_its_first_kept_test(own_state: Path) -> None:
    words = ("lot", "test", *KEPT, "--lot", "new tin", "--state", own_state, "--json")
    assert json.loads(naupliad(*words).out)["kept_as"] == 1
    assert list(listed(own_state)) == ["spring", "unused", "new tin", "old <tin>"]


def test_a_test_is_kept_with_tin_hours_and_warmth_or_not_at_all(own_state: Path) -> None:
    said = naupliad("lot", "test", "--put", "5", "--hatched", "4", "--keep", "--state", own_state)
    assert (said.code, said.out) == (2, "")
    assert said.faults == [
        f"{option}: none given; allowed: with --keep it must be given"
        for option in ("--lot", "--hours", "--water-c")
    ]
    assert naupliad("lot", "withdraw", "1", "--state", own_state).code == 2


def test_where_no_station_has_run_a_station_file_alone_says_which_tins_there_are(
    station_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("STATE_DIRECTORY", str(tmp_path / "none"))
    said = naupliad("lot", "list", "--config", station_file, "--json")
    assert [(one["lot"], one["used_g"], one["batches"]) for one in json.loads(said.out)] == [
        ("early", 0, []),
        ("late", 0, []),
    ]
    assert "late" in naupliad("lot", "list", "--config", station_file).out
    assert naupliad("lot", "list").code != 0


def test_a_station_file_that_is_given_says_what_is_known_of_the_tins_in_the_records(
    state: Path, station_file: Path
) -> None:
    said = naupliad("lot", "list", "--config", station_file, "--state", state, "--json")
    tins = {one["lot"]: one for one in json.loads(said.out)}
    assert list(tins) == ["early", "late", "old <tin>", "spring"]
    assert (len(tins["spring"]["batches"]), tins["spring"]["left_g"]) == (5, None)
