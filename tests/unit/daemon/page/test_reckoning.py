"""How many cups, and animals by spoonfuls: forms that need no PIN and say what the commands say."""

import re
from collections.abc import Callable
from html import unescape
from pathlib import Path
from threading import Thread

import pytest
from flask.testing import FlaskClient
from hypothesis import given, settings
from hypothesis import strategies as st

from daemon.page.experiments import how_many
from daemon.page.experiments.turns import NAME, SAVED_S, SHARE, NotNow, Turns
from daemon.planning.experiment.power import power_of
from tests.kit.command_line import naupliad
from tests.kit.plan_pages import begun_page, view_of, words, wrong
from tests.kit.station import probe, station_text, vessel

AT = 1_800_000_000
CLASS = {"levels": "3", "cups": "4", "of": "50", "share": "80", "difference": "20"}
PLAN = {"factor": "salt", "levels": "10; 25; 40", "cups": "4", "of": "50", "near": "window", "seed": "7"}


def page_of(folder: Path, language: str = "en") -> FlaskClient:
    return begun_page(folder, station_text(probe("water"), vessel("jar", "water"), language=language), AT)


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> FlaskClient:
    return page_of(tmp_path_factory.mktemp("station"))


@pytest.fixture(scope="module")
def german(tmp_path_factory: pytest.TempPathFactory) -> FlaskClient:
    return page_of(tmp_path_factory.mktemp("station"), "de")


class Clock:
    """Goes on when it is told to."""

    def __init__(self) -> None:
        self.now = 0.0

    def __call__(self) -> float:
        return self.now

    def slow(self, reckon: Callable[..., object], takes_s: float) -> Callable[..., object]:
        """The same, taking so long."""

        def slowly(*given: object) -> object:
            self.now += takes_s
            return reckon(*given)

        return slowly


def wait_s(html: str) -> int:
    """How many seconds a view says to wait."""
    match = re.search(r"Load this again in ([0-9]+) seconds?\.", words(html))
    assert match
    return int(match[1])


def links(html: str) -> list[str]:
    return [unescape(path) for path in re.findall(r'href="([^"]+)"', html)]


def test_the_list_of_experiments_leads_to_both(page: FlaskClient) -> None:
    assert {"/plan/cups", "/plan/spoonfuls"} <= set(links(page.get("/plan/experiment").text))


def test_a_plan_says_before_it_is_begun_which_difference_its_cups_would_show(page: FlaskClient) -> None:
    shown = view_of(page, "/plan/experiment", **PLAN)
    assert re.search(
        r"Suppose that 80 of 100 hatch at the best level\. Where another one hatches 5[0-9] or fewer",
        words(shown),
    )
    (address,) = [path for path in links(shown) if path.startswith("/plan/cups?")]
    assert address == "/plan/cups?levels=3&cups=4&of=50"
    assert "3 levels of 4 cups, 50 cysts each" in words(page.get(address).text)


def test_a_plan_that_can_show_nothing_leads_on_without_a_figure(page: FlaskClient) -> None:
    shown = view_of(page, "/plan/experiment", **{**PLAN, "cups": "1"})
    assert "at the best level" not in words(shown)
    assert "/plan/cups?levels=3&cups=2&of=50" in links(shown)


def test_it_says_what_the_command_says(page: FlaskClient) -> None:
    said = naupliad(
        *("experiment", "power", "--levels", "3", "--cups", "4", "--of", "50"),
        *("--share", "0.8", "--difference", "0.2"),
    )
    assert said.code == 0
    shown = words(view_of(page, "/plan/cups", **CLASS))
    for line in said.out.splitlines():
        assert line in shown


def test_german_readers_type_and_read_a_decimal_comma(german: FlaskClient) -> None:
    shown = words(view_of(german, "/plan/cups", **{**CLASS, "difference": "12,5", "dispersion": "1,5"}))
    assert "1,5" in shown
    assert list(wrong(view_of(german, "/plan/cups", **{**CLASS, "difference": "12.500"})))


@pytest.mark.parametrize(
    ("change", "field", "line"),
    [
        ({"levels": "1"}, "levels", "From 2 to 6, please."),
        ({"cups": "many"}, "cups", "Write a whole number, such as 28."),
        ({"cups": "21"}, "cups", "From 2 to 20, please."),
        ({"of": "1001"}, "of", "From 1 to 1000, please."),
        ({"share": "0"}, "share", "From 1 to 100 %, please."),
        (
            {"difference": "90"},
            "difference",
            "Up to 80: no more can be missing than hatch at the best level.",
        ),
        ({"dispersion": "11"}, "dispersion", "From 1 to 10, please."),
        ({"of": "4", "dispersion": "3"}, "dispersion", "From 1 to 2, please."),
    ],
)
def test_what_cannot_be_is_said_beside_its_field(
    page: FlaskClient, change: dict[str, str], field: str, line: str
) -> None:
    shown = view_of(page, "/plan/cups", **{**CLASS, **change})
    assert dict(wrong(shown)) == {field: line}
    assert "find a difference" not in words(shown)


@pytest.mark.parametrize("counts", ["12 15 9", "12, 15, 9", "12;15;9 ", "12\n15\n9"])
def test_spoonfuls_are_reckoned_as_the_command_does(page: FlaskClient, counts: str) -> None:
    said = naupliad("experiment", "aliquots", "12", "15", "9", "--ml", "5", "--volume-ml", "200")
    shown = words(view_of(page, "/plan/spoonfuls", counts=counts, ml="5", volume_ml="200"))
    assert said.out.splitlines()
    for line in said.out.splitlines():
        assert line in shown


@pytest.mark.parametrize(
    ("change", "field", "line"),
    [
        ({"counts": ""}, "counts", "Whole numbers with a blank between, such as 12 15 9; up to 50 of them."),
        (
            {"counts": "12 -3"},
            "counts",
            "Whole numbers with a blank between, such as 12 15 9; up to 50 of them.",
        ),
        (
            {"counts": "1 " * 51},
            "counts",
            "Whole numbers with a blank between, such as 12 15 9; up to 50 of them.",
        ),
        ({"counts": "²"}, "counts", "Whole numbers with a blank between, such as 12 15 9; up to 50 of them."),
        ({"ml": "0"}, "ml", "From 0.01 to 1000 mL, please."),
        ({"volume_ml": "14"}, "volume_ml", "At least 15 mL, which is what was counted."),
        ({"volume_ml": "lots"}, "volume_ml", "Write a number, such as 200 or 0.5."),
    ],
)
def test_spoonfuls_that_cannot_be_are_said_beside_their_field(
    page: FlaskClient, change: dict[str, str], field: str, line: str
) -> None:
    shown = view_of(page, "/plan/spoonfuls", **{"counts": "12 15 9", "ml": "5", "volume_ml": "200", **change})
    assert dict(wrong(shown)) == {field: line}


def test_nobody_keeps_the_machine_busy_by_asking_again_and_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    page, clock = page_of(tmp_path), Clock()
    page.application.extensions[NAME] = Turns(clock)
    monkeypatch.setattr(how_many, "power_of", clock.slow(power_of, 20.0))
    answers = [page.get("/plan/cups", query_string={**CLASS, "of": str(of)}) for of in range(40, 48)]
    assert [answer.status_code for answer in answers] == [200, 200, *[429] * 6]
    for answer in answers[2:]:
        assert wait_s(answer.text) <= 40
        assert "find a difference" not in words(answer.text)
    # What was worked out before is had at once, and a plan is told without it.
    assert page.get("/plan/cups", query_string={**CLASS, "of": "40"}).status_code == 200
    plan = view_of(page, "/plan/experiment", **PLAN)
    assert wait_s(plan) <= 40
    assert "The clearest result there can be" in words(plan)
    clock.now += 41.0
    assert "at the best level" in words(view_of(page, "/plan/experiment", **PLAN))


def test_over_a_day_it_takes_a_quarter_of_the_machine_at_most() -> None:
    clock, spent = Clock(), 0.0
    turns, reckon = Turns(clock), clock.slow(str, 15.0)
    for of in range(3_000):
        try:
            turns.reckoned(reckon, of)
            spent += 15.0
        except NotNow as fault:
            clock.now += min(fault.wait_s, 7.0)  # ever anew
    assert spent > 1_000.0
    assert spent <= SAVED_S + 15.0 + SHARE * clock.now


def test_one_is_worked_out_at_a_time_and_the_other_is_told_so() -> None:
    turns = Turns(lambda: 0.0)

    def inner() -> None:
        with pytest.raises(NotNow):
            turns.reckoned(int, "1")

    def outer(_: int) -> str:
        other = Thread(target=inner)
        other.start()
        other.join()
        return "done"

    assert turns.reckoned(outer, 1) == "done"
    assert turns.reckoned(int, "1") == 1


def test_what_fails_gives_its_turn_back() -> None:
    turns = Turns(lambda: 0.0)
    with pytest.raises(ValueError, match="invalid literal"):
        turns.reckoned(int, "x")
    assert turns.reckoned(int, "1") == 1


@settings(max_examples=60, deadline=None)
@given(
    path=st.sampled_from(["/plan/cups", "/plan/spoonfuls"]),
    values=st.dictionaries(
        st.sampled_from([*CLASS, "dispersion", "counts", "ml", "volume_ml"]),
        st.text(max_size=60)
        | st.sampled_from(["1e300", "nan", "-0", "٣", "1,5", "<b>", "9" * 60, "1 " * 200]),
    ),
)
def test_whatever_is_typed_it_answers(page: FlaskClient, path: str, values: dict[str, str]) -> None:
    answer = page.get(path, query_string=values)
    assert answer.status_code == 200
    assert "<b>" not in answer.text
