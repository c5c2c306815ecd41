"""Which difference some cups would show: no smaller one, and none where there is none."""

from hypothesis import given, settings
from hypothesis import strategies as st

from daemon.planning.experiment.noticed import least_noticed, usual_dispersion
from daemon.planning.experiment.power import ENOUGH, PlayedDesign, faults_of_design, finds_enough, found_share


def found(levels: int, cups: int, of: int, difference: float) -> float:
    return found_share(PlayedDesign(levels, cups, of, 0.8, difference, usual_dispersion(of)))


def test_the_least_difference_is_found_in_8_of_10_and_the_next_smaller_one_is_not() -> None:
    for levels, cups in ((2, 4), (3, 4), (3, 6)):
        least = least_noticed(levels, cups, 50)
        assert least is not None
        assert found(levels, cups, 50, least) >= ENOUGH
        assert found(levels, cups, 50, least - 0.01) < ENOUGH


def test_more_cups_and_more_cysts_show_smaller_differences() -> None:
    by_cups = [least_noticed(3, cups, 50) or 1.0 for cups in (3, 4, 8, 16)]
    assert by_cups == sorted(by_cups, reverse=True)
    assert (least_noticed(3, 4, 200) or 1.0) < (least_noticed(3, 4, 10) or 1.0)
    assert least_noticed(2, 4, 10_000) == least_noticed(2, 4, 1000)


def test_cups_that_can_show_nothing_show_no_difference() -> None:
    assert least_noticed(2, 1, 50) is None
    assert least_noticed(2, 3, 50) is None  # p can be no smaller than 0.1


@settings(max_examples=40, deadline=None)
@given(levels=st.integers(2, 4), cups=st.integers(2, 7), of=st.integers(1, 60), hundredths=st.integers(1, 80))
def test_to_know_whether_8_of_10_are_found_less_is_played_with_the_same_answer(
    levels: int, cups: int, of: int, hundredths: int
) -> None:
    design = PlayedDesign(levels, cups, of, 0.8, hundredths / 100.0, usual_dispersion(of))
    assert faults_of_design(design) == []
    assert finds_enough(design) is (found_share(design) >= ENOUGH)
