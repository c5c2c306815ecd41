"""Seat maps are balanced and interspersed (Hurlbert 1984) and come back by their seed; codes tell nothing."""

from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.errors import InputError
from daemon.planning.experiment.design import (
    MOST_CUPS,
    MOST_LEVELS,
    MOST_SEED,
    NEAR,
    ExperimentDesign,
    Seat,
    design_of,
    is_interspersed,
    seat_map,
)

SALT = ExperimentDesign("", "salt", ("10 g/L", "25 g/L", "40 g/L"), 4, 50, "window", 7)
DESIGNS = st.builds(
    lambda levels, cups, seed: ExperimentDesign(
        "", "salt", tuple(f"{n} g/L" for n in range(levels)), cups, 50, "window", seed
    ),
    st.integers(2, MOST_LEVELS),
    st.integers(1, MOST_CUPS),
    st.integers(0, MOST_SEED),
)


@given(DESIGNS)
def test_each_block_holds_each_level_once(design: ExperimentDesign) -> None:
    held = Counter((seat.block, seat.level) for seat in seat_map(design))
    assert held == {(block, one): 1 for block in range(1, design.cups + 1) for one in design.levels}


@given(DESIGNS)
def test_each_place_is_taken_once(design: ExperimentDesign) -> None:
    places = [(seat.block, seat.place) for seat in seat_map(design)]
    assert places == sorted(set(places))
    assert {place for _, place in places} == set(range(1, len(design.levels) + 1))


@given(DESIGNS)
def test_no_level_has_a_side_or_more_than_two_corners_to_itself(design: ExperimentDesign) -> None:
    seats = seat_map(design)
    assert is_interspersed(seats)
    if design.cups == 1:
        return
    last = (design.cups, len(design.levels))
    corners = Counter(one.level for one in seats if one.block in (1, last[0]) and one.place in (1, last[1]))
    assert max(corners.values()) <= 2
    for place in (1, last[1]):
        assert len({one.level for one in seats if one.place == place}) > 1


@given(DESIGNS)
def test_no_level_stands_more_often_at_a_place_than_others_but_for_one(design: ExperimentDesign) -> None:
    often = Counter((seat.place, seat.level) for seat in seat_map(design))
    for place in range(1, len(design.levels) + 1):
        here = [often[place, level] for level in design.levels]
        assert max(here) - min(here) <= 1


@given(DESIGNS)
def test_the_same_seed_gives_the_same_map(design: ExperimentDesign) -> None:
    assert seat_map(design) == seat_map(replace(design))


def test_a_kept_seed_gives_the_map_that_it_gave_when_this_was_written() -> None:
    # Of this program itself, not from outside: whoever kept a seed gets the map of then.
    first = [(seat.code, seat.level) for seat in seat_map(SALT) if seat.block == 1]
    assert first == [("F3", "25 g/L"), ("N3", "10 g/L"), ("H7", "40 g/L")]


def test_seeds_reach_every_map_there_is() -> None:
    # There are 12 Latin squares of order 3 (OEIS A002860), and behind the last row 2 of 3 things that stand
    # nowhere where they stood (derangements, A000166).
    maps = {tuple(seat.level for seat in seat_map(replace(SALT, seed=seed))) for seed in range(400)}
    assert len(maps) == 12 * 2


def test_every_level_comes_to_every_seat_about_equally_often() -> None:
    draws = 3000
    often = Counter(
        (seat.block, seat.place, seat.level)
        for seed in range(draws)
        for seat in seat_map(replace(SALT, seed=seed))
    )
    # A third of the draws each; a binomial draw lies within six of its standard deviations.
    for count in often.values():
        assert abs(count - draws / 3) < 6 * (draws * (1 / 3) * (2 / 3)) ** 0.5


@given(DESIGNS)
def test_codes_are_unique_and_say_nothing_of_the_level(design: ExperimentDesign) -> None:
    codes = [seat.code for seat in seat_map(design)]
    assert len(set(codes)) == len(codes)
    turned = replace(design, levels=design.levels[::-1])
    assert [seat.code for seat in seat_map(turned)] == codes
    # 14 letters with 5 digits; what is more gets a second digit.
    assert {len(code) for code in codes[:70]} == {2}
    assert {len(code) for code in codes[70:]} <= {3}


def test_codes_hold_nothing_that_looks_like_something_else() -> None:
    codes = {seat.code for seed in range(50) for seat in seat_map(replace(SALT, cups=20, seed=seed))}
    # Of each pair that is easily taken for one another at most one is used.
    used = set("".join(codes))
    assert not [pair for pair in ("0O", "1I", "5S", "8B", "6G", "2Z", "OQ") if set(pair) <= used]


# Each sign and what it may be read as upside down, by turning a sheet with them round. A single one stands
# for itself.
_PAIRS = ("69", "MW", "AV", "E3", "L7", "NN", "HH", "XX", "88", "22")
UPSIDE_DOWN = {pair[at]: pair[1 - at] for pair in _PAIRS for at in (0, 1)}


def upside_down(code: str) -> set[str]:
    """What a code may be read as upside down: from behind, and a reader who knows the form puts the letter
    first."""
    signs = [UPSIDE_DOWN.get(sign) for sign in reversed(code)]
    if None in signs:
        return set()
    read = "".join(sign for sign in signs if sign)
    return {read, read[-1] + read[:-1]} - {code}


@given(DESIGNS)
def test_no_code_reads_as_another_one_upside_down(design: ExperimentDesign) -> None:
    codes = {seat.code for seat in seat_map(design)}
    assert not [code for code in codes if len(code) == 2 and upside_down(code) & codes]


@given(DESIGNS, st.integers(0, 200))
def test_codes_that_are_about_are_avoided_while_others_are_left(design: ExperimentDesign, about: int) -> None:
    every = [seat.code for seat in seat_map(replace(SALT, levels=tuple("ABCDEF"), cups=20, seed=1))]
    avoided = set(every[:about])
    seats = seat_map(design, avoided)
    assert not avoided & {seat.code for seat in seats}
    assert len({seat.code for seat in seats}) == len(seats)
    assert [seat.level for seat in seats] == [seat.level for seat in seat_map(design)]


def test_where_all_codes_are_about_a_map_is_drawn_all_the_same() -> None:
    every = [f"{letter}{digits}" for letter in "ACDFHJKNPRTUXY" for digits in range(100)]
    assert len({seat.code for seat in seat_map(SALT, every)}) == 12


def segregated(*rows: str) -> list[Seat]:
    return [
        Seat(block, place, f"{block}{place}", level)
        for block, row in enumerate(rows, start=1)
        for place, level in enumerate(row, start=1)
    ]


@pytest.mark.parametrize(
    "rows",
    [
        ("AB", "AB", "AB", "AB"),  # each level has a side to itself
        ("AA", "BB"),  # a block of one level
        ("ABC", "ABC", "CAB"),  # A stands twice at the first place, B never
        ("AB", "BA", "BA", "BA", "AB", "AB"),  # three alike one behind the other
    ],
)
def test_a_layout_in_which_a_level_keeps_to_itself_is_found(rows: tuple[str, ...]) -> None:
    assert not is_interspersed(segregated(*rows))


@pytest.mark.parametrize("rows", [("AB", "BA"), ("ABC",), ("ABC", "BCA", "CAB"), ("AB", "BA", "BA", "AB")])
def test_a_layout_whose_levels_are_mixed_is_taken(rows: tuple[str, ...]) -> None:
    assert is_interspersed(segregated(*rows))


SEMICOLONS = "allowed: semicolons between levels, such as 10; 22.5, or a point in a number"


@pytest.mark.parametrize(
    ("given_levels", "understood"),
    [
        ("10 g/L,25 g/L, 40 g/L", ("10 g/L", "25 g/L", "40 g/L")),
        ("10; 25;40", ("10 g/L", "25 g/L", "40 g/L")),
        ("2,5; 5", ("2,5 g/L", "5 g/L")),
        ("10;22,5;40", ("10 g/L", "22,5 g/L", "40 g/L")),
        ("2,5\n5", ("2,5 g/L", "5 g/L")),
        ("10, 22.5", ("10 g/L", "22.5 g/L")),
        ("a little\n\n  much   salt \n", ("a little", "much salt")),
    ],
)
def test_levels_are_read_as_people_write_them(given_levels: str, understood: tuple[str, ...]) -> None:
    assert design_of("", "salt", given_levels, 4, 50, "window", 7).levels == understood


@pytest.mark.parametrize(
    ("change", "line"),
    [
        ({"levels": "10"}, "levels: found 1; allowed: 2 to 6, separated by commas or semicolons"),
        ({"levels": "1;2;3;4;5;6;7"}, "levels: found 7; allowed: 2 to 6, separated by commas or semicolons"),
        ({"levels": "10; 10"}, "levels: found '10 g/L' twice; allowed: each level once"),
        (
            {"levels": "10, 10 G/L"},
            "levels: found '10 g/L' and '10 G/L', which are the same; allowed: each level once",
        ),
        (
            {"levels": "10; 10,0 g/L"},
            "levels: found '10 g/L' and '10,0 g/L', which are the same; allowed: each level once",
        ),
        (
            {"factor": "warmth", "levels": "20; 20.0; 28"},
            "levels: found '20 °C' and '20.0 °C', which are the same; allowed: each level once",
        ),
        (
            {"levels": "=1+1;2"},
            "levels: found '=1+1'; allowed: 1 to 30 characters that begin with a letter or a digit",
        ),
        *(
            ({"levels": text}, f"levels: found a comma between digits in '{piece}'; {SEMICOLONS}")
            for text, piece in (
                ("10, 22,5, 40", "22,5"),
                ("0,5", "0,5"),
                ("1,5, 2,5", "1,5"),
                ("1,2,3", "1,2,3"),
                ("20,5 °C, 25 °C", "20,5"),
            )
        ),
        ({"cups": 0}, "cups: found 0; allowed: a whole number from 1 to 20"),
        ({"cysts": 10_001}, "of: found 10001; allowed: a whole number from 1 to 10000"),
        ({"seed": -1}, "seed: found -1; allowed: a whole number from 0 to 999999999"),
        ({"factor": " "}, "factor: found ' '; allowed: one line, 1 to 40 characters"),
        ({"idea": "a\nb"}, "idea: found 'a\\nb'; allowed: one line, 0 to 200 characters"),
        ({"near": "moon"}, "near: found 'moon'; allowed: window, lamp, heater, door"),
    ],
)
def test_what_cannot_be_is_refused_in_a_line(change: dict[str, object], line: str) -> None:
    plain: dict[str, object] = {
        "idea": "",
        "factor": "salt",
        "levels": "10, 25",
        "cups": 4,
        "cysts": 50,
        "near": "window",
        "seed": 1,
    }
    with pytest.raises(InputError) as refused:
        design_of(**{**plain, **change})  # type: ignore[arg-type]
    assert line in refused.value.faults


@given(st.text(max_size=60), st.text(max_size=60), st.text(max_size=200), st.integers(), st.integers())
def test_whatever_is_written_is_a_design_or_a_line(
    idea: str, factor: str, levels: str, cups: int, cysts: int
) -> None:
    refused, design = None, None
    try:
        design = design_of(idea, factor, levels, cups, cysts, NEAR[0], 1)
    except InputError as error:
        refused = error.faults
    assert design is None or is_interspersed(seat_map(design))
    assert refused is None or all("; allowed: " in line and line.isprintable() for line in refused)
