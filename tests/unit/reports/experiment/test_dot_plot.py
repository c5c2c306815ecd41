"""The dot plot: every cup and interval at its place, in shapes and words, whatever was counted."""

from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from daemon.planning.experiment.result import result_of
from daemon.science.replicate_cups import Cup
from reports.experiment.dot_plot import WIDTH, dot_plot, in_words
from tests.kit.counted_cups import CLASS, counted

SVG = "{http://www.w3.org/2000/svg}"
cup = st.integers(1, 60).flatmap(lambda of: st.tuples(st.integers(0, of), st.just(of)))


def drawn(
    levels: list[list[Cup]], names: str | tuple[str, ...] = ("10", "30", "60", "90")
) -> ElementTree.Element:
    return ElementTree.fromstring(dot_plot(result_of(counted(levels, names))))


def numbers(parts: list[ElementTree.Element], key: str) -> list[float]:
    return [float(part.attrib[key]) for part in parts]


@given(st.lists(st.lists(cup, min_size=1, max_size=6), min_size=1, max_size=4))
@settings(deadline=None)
def test_every_cup_is_a_dot_and_every_level_a_diamond_inside_the_picture(levels: list[list[Cup]]) -> None:
    picture = drawn(levels)
    dots = picture.findall(f"{SVG}circle")
    assert len(dots) == sum(map(len, levels))
    assert len(picture.findall(f"{SVG}polygon")) == len(levels)
    height = float(picture.attrib["viewBox"].split()[3])
    assert all(0 < x < WIDTH for x in numbers(dots, "cx"))
    assert all(0 < y < height for y in numbers(dots, "cy"))
    bars = [line for line in picture.findall(f"{SVG}line") if line.get("class") == "dots-bar"]
    assert all(0 < x < WIDTH for key in ("x1", "x2") for x in numbers(bars, key))


def test_dots_stand_by_share_from_left_to_right() -> None:
    xs = numbers(drawn([[(0, 50), (25, 50), (50, 50)]]).findall(f"{SVG}circle"), "cx")
    assert xs == sorted(xs)
    assert xs[1] == pytest.approx((xs[0] + xs[2]) / 2)


def test_cups_of_one_share_do_not_hide_each_other() -> None:
    dots = drawn([[(25, 50)] * 3]).findall(f"{SVG}circle")
    assert len(set(numbers(dots, "cy"))) == 3


def test_the_interval_of_a_single_cup_is_dashed_and_the_words_say_why() -> None:
    one, more = drawn([[(25, 50)]]), drawn([[(25, 50), (26, 50)]])
    assert [line.get("stroke-dasharray") for line in one.iter(f"{SVG}line")].count("4 3") == 1
    assert not [line for line in more.iter(f"{SVG}line") if line.get("stroke-dasharray")]
    assert "dashed where it is of a single cup" in "".join(one.itertext())


def test_the_picture_is_told_in_words_to_those_who_do_not_see_it() -> None:
    picture = drawn(CLASS)
    named = {part.get("id") for part in picture}
    assert set(picture.attrib["aria-labelledby"].split()) <= named
    assert picture.attrib["role"] == "img"
    told = in_words(result_of(counted(CLASS)))
    assert told.startswith(
        "Most hatched at 30: 77 of 100. Fewest hatched at 60: 28 of 100. 10: 64 of 100, from 53"
    )
    assert "cups: 31/50, 36/50, 28/50, 33/50." in told
    assert picture.findtext(f"{SVG}desc") == told


def test_names_cannot_break_the_picture() -> None:
    picture = drawn([[(1, 2)] * 2, [(1, 2)] * 2], ('<b>"&', "x" * 40))
    texts = [text.text for text in picture.findall(f"{SVG}text")]
    assert '<b>"&' in texts
    assert "x" * 23 + "…" in texts


def test_the_picture_has_no_style_that_a_pages_policy_would_refuse() -> None:
    assert "style" not in dot_plot(result_of(counted(CLASS)))
