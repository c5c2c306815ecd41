"""The life of one alarm: delays in samples, deadband outside, states of IEC 62682."""

from hypothesis import given
from hypothesis import strategies as st

from daemon.alarms.lifecycle import Alarm, Delays, State, acknowledged, sampled, suppressed

DELAYS = Delays(on=3, off=2)


def run(samples: list[bool | None], alarm: Alarm | None = None) -> list[Alarm]:
    """The alarm after each sample, a minute apart; the value is 1 beyond the limit and 0 within."""
    steps = [alarm or Alarm()]
    for minute, beyond in enumerate(samples):
        value = None if beyond is None else float(beyond)
        steps.append(sampled(steps[-1], minute * 60, beyond, value, DELAYS, low=False))
    return steps[1:]


def states(samples: list[bool | None], alarm: Alarm | None = None) -> list[State]:
    return [step.state for step in run(samples, alarm)]


def test_an_alarm_is_raised_only_by_as_many_samples_in_a_row_as_the_delay_asks() -> None:
    assert states([True, True, False, True, True, True])[-1] is State.UNACKNOWLEDGED
    assert states([True, True, False, True, True])[-1] is State.NORMAL


def test_the_excursion_began_with_its_first_sample_and_not_with_the_alarm() -> None:
    assert run([False, True, True, True])[-1].since == 60


def test_a_sample_that_cannot_be_judged_freezes_the_alarm() -> None:
    before = run([True, True])[-1]
    assert run([None, None, None], before)[-1] == before
    assert states([True], before)[-1] is State.UNACKNOWLEDGED


def test_an_alarm_clears_only_by_as_many_samples_in_a_row_as_the_delay_asks() -> None:
    raised = run([True] * 3)[-1]
    assert states([False, True, False], raised)[-1] is State.UNACKNOWLEDGED
    assert states([False, False], raised)[-1] is State.RETURNED
    assert states([False, False], acknowledged(raised))[-1] is State.NORMAL


def test_a_return_that_nobody_acknowledged_can_be_raised_again_and_acknowledged() -> None:
    returned = run([True] * 3 + [False] * 2)[-1]
    assert states([True] * 3, returned)[-1] is State.UNACKNOWLEDGED
    assert acknowledged(returned).state is State.NORMAL


def test_a_suppressed_alarm_hears_nothing_and_begins_anew_when_it_is_let_go() -> None:
    quiet = suppressed(run([True] * 3)[-1], True)
    assert states([True] * 9, quiet)[-1] is State.SUPPRESSED
    assert suppressed(quiet, False) == Alarm()


def test_the_extreme_is_the_worst_value_of_the_excursion() -> None:
    alarm = Alarm()
    for minute, value in enumerate([18.0, 17.0, 18.5, 16.5, 19.0]):
        alarm = sampled(alarm, minute * 60, True, value, DELAYS, low=True)
    assert alarm.extreme == 16.5


@given(st.lists(st.sampled_from([True, False, None, "seen"]), max_size=80))
def test_no_path_raises_twice_without_a_return_between(path: list[bool | str | None]) -> None:
    alarm, raised = Alarm(), 0
    for minute, step in enumerate(path):
        before = alarm
        if step == "seen":
            alarm = acknowledged(alarm)
            assert not (before.active and not alarm.active), "seeing to an alarm must not hide its condition"
        else:
            beyond = None if step is None else bool(step)
            alarm = sampled(alarm, minute * 60, beyond, 0.0, DELAYS, low=True)
        if alarm.state is State.UNACKNOWLEDGED and before.state is not State.UNACKNOWLEDGED:
            assert not before.active
            raised += 1
        if before.state is State.UNACKNOWLEDGED and alarm.state is not State.UNACKNOWLEDGED:
            assert alarm.state in (State.ACKNOWLEDGED, State.RETURNED), "an unseen alarm is never lost"
    assert raised <= sum(1 for step in path if step is True) // DELAYS.on


@given(st.lists(st.sampled_from([True, False, None]), max_size=60))
def test_samples_that_cannot_be_judged_change_nothing_wherever_they_stand(samples: list[bool | None]) -> None:
    judged = [sample for sample in samples if sample is not None]
    last = run(samples)[-1].state if samples else State.NORMAL
    assert last is (states(judged)[-1] if judged else State.NORMAL)
