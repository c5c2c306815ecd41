"""What to make of letters that had to wait, and the words for it."""

from hypothesis import given
from hypothesis import strategies as st

from daemon.post.late_letters import FEW, LATE_S, Fate, Waiting, fate_of, sorted_out

NOW = 1_800_000_000
LATE, FRESH = NOW - LATE_S - 1, NOW - LATE_S


def cold(letter_id: int, written_at: int, stands: bool | None = False, vessel: str = "tray") -> Waiting:
    return Waiting(letter_id, "cold", (vessel,), written_at, stands)


def test_six_hours_are_still_fresh_and_a_second_more_is_late() -> None:
    assert fate_of(cold(1, FRESH), [], NOW) is Fate.FRESH
    assert fate_of(cold(1, LATE), [], NOW) is Fate.OVER
    assert fate_of(cold(1, LATE, True), [], NOW) is Fate.STANDS
    assert fate_of(cold(1, LATE, None), [], NOW) is Fate.PASSED


def test_what_was_to_be_done_before_people_left_is_late_when_they_are_gone() -> None:
    hours = 3600
    assert fate_of(Waiting(1, "leave", ("tray",), NOW - 2 * hours, None), [], NOW) is Fate.FRESH
    assert fate_of(Waiting(1, "leave", ("tray",), NOW - 3 * hours, None), [], NOW) is Fate.PASSED


def test_one_or_two_late_letters_go_as_themselves() -> None:
    plan = sorted_out([cold(1, LATE), cold(2, LATE, True, "jar"), cold(3, FRESH, True)], NOW)
    assert plan.late == ((1, Fate.OVER), (2, Fate.STANDS))
    assert plan.together == ()


def test_of_three_what_stands_goes_as_itself_and_the_rest_together() -> None:
    waiting = [
        cold(1, LATE),
        Waiting(2, "nightly", (), LATE, None),
        cold(3, LATE, True, "jar"),
        cold(4, FRESH),
    ]
    plan = sorted_out(waiting, NOW)
    assert plan.late == ((3, Fate.STANDS),)
    assert plan.together == ((1, Fate.OVER), (2, Fate.PASSED))


def test_of_two_letters_about_the_same_only_the_later_still_stands() -> None:
    waiting = [cold(1, LATE, True), cold(2, LATE, True), cold(3, LATE, True, "jar")]
    assert sorted_out(waiting, NOW).together == ((1, Fate.REPEATED),)


def test_a_clock_put_back_makes_nothing_late() -> None:
    assert sorted_out([cold(n, NOW + 9999) for n in range(9)], NOW).late == ()


letters = st.lists(
    st.tuples(
        st.sampled_from(["cold", "hot", "nightly"]),
        st.lists(st.sampled_from(["a", "b"]), max_size=2, unique=True),
        st.integers(NOW - 5 * LATE_S, NOW),
        st.sampled_from([True, False, None]),
    ),
    max_size=12,
)


@given(letters)
def test_every_late_letter_is_told_exactly_once_and_in_its_order(
    told: list[tuple[str, list[str], int, bool]],
) -> None:
    waiting = [Waiting(n, kind, tuple(about), at, stands) for n, (kind, about, at, stands) in enumerate(told)]
    plan = sorted_out(waiting, NOW)
    ids = [letter_id for letter_id, _ in (*plan.late, *plan.together)]
    assert sorted(ids) == [one.id for one in waiting if NOW - one.written_at > LATE_S]
    for part in (plan.late, plan.together):
        assert [letter_id for letter_id, _ in part] == sorted(letter_id for letter_id, _ in part)
    assert not plan.together or len(ids) > FEW
    assert all(fate is not Fate.STANDS for _, fate in plan.together)
