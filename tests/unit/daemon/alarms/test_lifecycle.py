"""The life of one alarm: delays in samples, deadband outside, states of IEC 62682."""

from hypothesis import given
from hypothesis import strategies as st

from daemon.alarms.lifecycle import (
    ACTIVE,
    Alarm,
    Delays,
    State,
    acknowledged,
    put_aside,
    sampled,
    suppressed,
    taken_back,
)

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
    assert suppressed(quiet, False) == Alarm(rings=1)


def test_the_extreme_is_the_worst_value_of_the_excursion() -> None:
    alarm = Alarm()
    for minute, value in enumerate([18.0, 17.0, 18.5, 16.5, 19.0]):
        alarm = sampled(alarm, minute * 60, True, value, DELAYS, low=True)
    assert alarm.extreme == 16.5


def test_a_new_alarm_has_neither_stood_nor_rung() -> None:
    assert Alarm() == Alarm(State.NORMAL, run=0, since=None, extreme=None, stood=0, rings=0)


def test_one_more_sample_beyond_begins_the_off_delay_anew() -> None:
    raised = run([True] * 3)[-1]
    assert states([False, True, False, False], raised)[2:] == [State.UNACKNOWLEDGED, State.RETURNED]


def test_a_long_off_delay_is_kept_to_the_sample_too() -> None:
    slow, alarm = Delays(on=3, off=4), run([True] * 3)[-1]
    for minute in range(3):
        alarm = sampled(alarm, 600 + minute * 60, False, 0.0, slow, low=False)
        assert alarm.state is State.UNACKNOWLEDGED
    alarm = sampled(alarm, 900, False, 0.0, slow, low=False)
    assert alarm == Alarm(State.RETURNED, run=0, since=0, extreme=1.0, stood=0, rings=1, rung_at=1.0)


def test_after_a_return_a_new_excursion_takes_the_whole_on_delay_and_begins_with_its_own_first_sample() -> (
    None
):
    returned = run([True] * 3 + [False] * 2)[-1]
    again = sampled(returned, 600, True, 1.0, DELAYS, low=False)
    assert (again.state, again.since) == (State.RETURNED, 600)
    again = sampled(again, 660, True, 1.0, DELAYS, low=False)
    assert again.state is State.RETURNED
    assert sampled(again, 720, True, 1.0, DELAYS, low=False).state is State.UNACKNOWLEDGED


def test_what_had_begun_when_it_was_shelved_goes_on_from_there() -> None:
    begun = put_aside(run([True] * 2)[-1], State.SHELVED)
    assert (begun.run, begun.stood) == (2, 0)
    assert states([True], taken_back(begun))[-1] is State.UNACKNOWLEDGED


def test_what_was_out_of_service_and_is_shelved_then_begins_anew() -> None:
    out = put_aside(run([True] * 3)[-1], State.OUT_OF_SERVICE)
    back = taken_back(put_aside(out, State.SHELVED))
    assert states([True] * 3, back) == [State.NORMAL, State.NORMAL, State.UNACKNOWLEDGED]


AGAIN = Delays(on=3, off=2, again=10)


def sampled_with(delays: Delays, samples: list[bool], alarm: Alarm) -> Alarm:
    for minute, beyond in enumerate(samples):
        alarm = sampled(alarm, minute * 60, beyond, 0.0, delays, low=True)
    return alarm


def test_an_alarm_that_stands_rings_again_after_a_long_time_and_not_before() -> None:
    raised = sampled_with(AGAIN, [True] * 3, Alarm())
    assert raised.rings == 1
    assert sampled_with(AGAIN, [True] * 9, raised).rings == 1
    assert sampled_with(AGAIN, [True] * 10, raised).rings == 2


def test_an_alarm_that_rang_again_rings_the_next_time_as_much_later_and_clears_as_it_would_have_before() -> (
    None
):
    again = sampled_with(AGAIN, [True] * 13, Alarm())
    assert again.rings == 2
    assert sampled_with(AGAIN, [True] * 9, again).rings == 2
    assert sampled_with(AGAIN, [True] * 10, again).rings == 3
    assert sampled_with(AGAIN, [False], again).state is State.UNACKNOWLEDGED
    assert sampled_with(AGAIN, [False] * 2, again).state is State.RETURNED


def test_one_that_was_acknowledged_is_unacknowledged_when_it_rings_again() -> None:
    seen = acknowledged(sampled_with(AGAIN, [True] * 9, Alarm()))
    assert sampled_with(AGAIN, [True] * 9, seen).state is State.ACKNOWLEDGED
    assert sampled_with(AGAIN, [True] * 10, seen).state is State.UNACKNOWLEDGED


WORSE = Delays(on=3, off=2, worse_by=2.0)


def rings_with(values: list[float], delays: Delays = WORSE) -> int:
    """How often an alarm rings that is beyond its limit all the time; lower is worse."""
    alarm = Alarm()
    for minute, value in enumerate(values):
        alarm = sampled(alarm, minute * 60, True, value, delays, low=True)
    return alarm.rings


def test_an_alarm_rings_again_when_as_many_samples_as_raise_it_are_much_worse_than_when_it_rang() -> None:
    assert rings_with([19.0] * 3 + [17.1] * 99) == 1
    assert rings_with([19.0] * 3 + [17.0] * 2) == 1
    assert rings_with([19.0] * 3 + [17.0] * 3) == 2
    assert rings_with([19.0] * 3 + [17.0, 17.0, 18.0] * 9) == 1
    assert rings_with([19.0] * 3 + [17.0] * 99 + [15.0] * 3) == 3
    assert rings_with([19.0] * 3 + [9.0] * 99, DELAYS) == 1


def test_a_shelved_alarm_does_not_ring_and_rings_with_the_first_sample_after_the_shelf() -> None:
    shelved = put_aside(Alarm(), State.SHELVED)
    assert states([True] * 9, shelved)[-1] is State.SHELVED
    later = run([True] * 9, shelved)[-1]
    assert states([True], taken_back(later))[-1] is State.UNACKNOWLEDGED
    assert states([False] * 3, taken_back(run([False], later)[-1]))[-1] is State.NORMAL


def test_what_stood_when_it_was_shelved_rings_again_after_the_shelf_if_it_still_stands() -> None:
    shelved = put_aside(run([True] * 3)[-1], State.SHELVED)
    back = taken_back(shelved)
    assert back.state is State.NORMAL
    assert run([True], back)[-1].rings == 2
    assert states([False], back)[-1] is State.NORMAL


def test_one_out_of_service_hears_nothing_and_comes_back_as_new() -> None:
    out = put_aside(run([True] * 3)[-1], State.OUT_OF_SERVICE)
    assert states([True] * 9, out)[-1] is State.OUT_OF_SERVICE
    assert taken_back(out) == Alarm(rings=1)


def test_what_has_no_batch_cannot_be_put_aside() -> None:
    assert put_aside(Alarm(State.SUPPRESSED), State.SHELVED).state is State.SUPPRESSED


_STEPS = [True, True, True, False, None, "seen", "shelve", "out", "back", "end", "set"]


@given(st.lists(st.sampled_from(_STEPS), max_size=120))
def test_whatever_happens_an_event_rings_once_and_an_unseen_alarm_is_never_lost(path: list[object]) -> None:
    alarm, beyond_since_ring = Alarm(), 0
    moves = {
        "seen": acknowledged,
        "shelve": lambda a: put_aside(a, State.SHELVED),
        "out": lambda a: put_aside(a, State.OUT_OF_SERVICE),
        "back": taken_back,
        "end": lambda a: suppressed(a, True),
        "set": lambda a: suppressed(a, False),
    }
    for minute, step in enumerate(path):
        before = alarm
        if isinstance(step, str):
            alarm = moves[step](alarm)
            assert alarm.rings == before.rings, "only a sample rings"
            if before.state is State.UNACKNOWLEDGED and alarm.state is not before.state:
                assert step in ("seen", "shelve", "out", "end"), "somebody did it"
        else:
            alarm = sampled(
                alarm, minute * 60, step is True if step is not None else None, 0.0, AGAIN, low=True
            )
            beyond_since_ring += step is True
            if alarm.rings > before.rings:
                assert alarm.state is State.UNACKNOWLEDGED
                assert before.state not in ACTIVE or beyond_since_ring >= AGAIN.again
                beyond_since_ring = 0
            elif before.state is State.UNACKNOWLEDGED:
                assert alarm.state in (State.UNACKNOWLEDGED, State.RETURNED)


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
