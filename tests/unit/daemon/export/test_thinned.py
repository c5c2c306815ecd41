"""Fewer readings, each a true one."""

from hypothesis import given
from hypothesis import strategies as st

from daemon.export.thinned import step_s_of, thinned
from sensors.reading import Quality, Reading

DAY = 86_400
READINGS = st.lists(
    st.tuples(st.integers(0, 7200), st.sampled_from("ab"), st.sampled_from(["good", "jump", "crc"])),
    unique_by=lambda one: one[:2],
).map(lambda told: [Reading(1000 + at, probe, 20.0, Quality(how)) for at, probe, how in sorted(told)])


@given(READINGS, st.sampled_from([600, 1800, 3600]))
def test_of_each_step_and_probe_one_true_reading_is_left_a_good_one_where_there_was_one(
    readings: list[Reading], step_s: int
) -> None:
    kept = list(thinned(readings, 1000, step_s))
    assert kept == sorted(kept, key=lambda one: (one.at, one.probe))
    assert set(kept) <= set(readings)

    def cell(one: Reading) -> tuple[int, str]:
        return (one.at - 1000) // step_s, one.probe

    assert len({cell(one) for one in kept}) == len(kept)
    assert {cell(one) for one in kept} == {cell(one) for one in readings}
    assert {cell(one) for one in kept if one.good} == {cell(one) for one in readings if one.good}


def test_a_long_batch_is_thinned_more_and_no_probe_has_much_over_a_thousand_rows() -> None:
    assert [step_s_of(days * DAY) for days in (1, 7, 8, 21, 22, 400)] == [600, 600, 1800, 1800, 3600, 3600]
    assert all(days * DAY / step_s_of(days * DAY) <= 1008 for days in range(1, 43))
