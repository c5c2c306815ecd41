"""Whatever a probe says, the judge keeps its promises."""

from collections.abc import Sequence

from hypothesis import given, settings
from hypothesis import strategies as st

from sensors.reading import BELIEVABLE, Measure, Quality, Reading
from sensors.trust.judge import Judge, Judged, Watched, as_read, revised

MEASURES = {"a": Measure.WATER_C, "b": Measure.WATER_C, "room": Measure.ROOM_C, "light": Measure.LIGHT_LUX}
JUDGED = (Quality.JUMP, Quality.STUCK, Quality.IN_AIR)
BEGAN = 1_800_000_000


def trust(every_s: int = 60) -> Judge:
    plans = [
        Watched(name, what, 250.0 if what is Measure.WATER_C else None, "room", tuple({"a", "b"} - {name}))
        for name, what in MEASURES.items()
    ]
    return Judge(plans, every_s)


# Values that hang together now and then, so that kicks, repeats and dips come about, and any float at all.
VALUES = st.one_of(
    st.sampled_from([18.0, 20.0, 20.0625, 20.5, 21.0, 24.0, 85.0, 127.9375, -127.0]),
    st.floats(min_value=15, max_value=30),
    st.floats(),
)
BAD = st.sampled_from([Quality.ABSENT, Quality.CRC, Quality.RESET, Quality.RANGE])


@st.composite
def beats(draw: st.DrawFn) -> list[list[Reading]]:
    at, made = BEGAN, []
    for _ in range(draw(st.integers(1, 6))):
        value = {name: draw(VALUES) for name in MEASURES}
        step = draw(st.sampled_from([0.0, 0.0, 0.01, 0.0625, 1.5]))
        gap = draw(st.sampled_from([1, 10, 60, 60, 60, 61, 300, 7200, 90_000]))
        for count in range(draw(st.integers(1, 30))):
            at += gap
            beat = []
            for name in draw(st.permutations(sorted(MEASURES))) if count == 0 else sorted(MEASURES):
                if count % 17 == 5:
                    beat.append(Reading(at, name, None, draw(BAD)))
                else:
                    beat.append(Reading(at, name, value[name] + step * count, Quality.GOOD))
            made.append(beat)
    return made


def in_range(reading: Reading) -> bool:
    low, high = BELIEVABLE[MEASURES[reading.probe]]
    return reading.value is not None and low <= reading.value <= high


@given(beats())
@settings(max_examples=150)
def test_it_never_raises_never_makes_good_and_never_changes_a_value(told: list[list[Reading]]) -> None:
    judge = trust()
    for beat in told:
        found = judge.judge(beat)
        assert [(r.at, r.probe) for r in found.readings] == [(r.at, r.probe) for r in beat]
        for before, after in zip(beat, found.readings, strict=True):
            assert after.value is before.value
            assert not after.good or (before.good and in_range(before))
            if not before.good:
                assert after.quality is before.quality
        for revision in found.revisions:
            assert revision.quality in (*JUDGED, Quality.GOOD)
            assert revision.since <= revision.until == beat[0].at
        assert set(judge.doubts) <= set(MEASURES)
        assert all(judge.why(probe) for probe in MEASURES)


def final(judged: Sequence[Judged]) -> list[Reading]:
    readings: list[Reading] = []
    for found in judged:
        readings = list(revised(readings, found.revisions)) + list(found.readings)
    return readings


@given(beats(), st.integers(1, 30))
@settings(max_examples=80)
def test_in_one_go_in_pieces_and_from_the_store_it_comes_to_the_same(
    told: list[list[Reading]], size: int
) -> None:
    flat = [reading for beat in told for reading in beat]
    beat_by_beat = trust()
    once = final([beat_by_beat.judge(beat) for beat in told])
    pieces = [[r for beat in told[n : n + size] for r in beat] for n in range(0, len(told), size)]
    in_pieces = trust()
    assert repr(final([in_pieces.judge(piece) for piece in pieces])) == repr(once)
    assert repr(list(trust().judge(flat).readings)) == repr(once)  # repr: NaN is not equal to itself
    again = trust()
    assert repr(list(again.judge([as_read(reading) for reading in once]).readings)) == repr(once)
    assert [again.why(p) for p in MEASURES] == [beat_by_beat.why(p) for p in MEASURES]


@given(st.sampled_from(sorted(MEASURES)), st.floats())
def test_a_reading_outside_the_believable_range_is_never_good(probe: str, value: float) -> None:
    (found,) = trust().judge([Reading(BEGAN, probe, value, Quality.GOOD)]).readings
    assert found.good == in_range(found)
    assert found.good or found.quality is Quality.RANGE


@given(beats())
@settings(max_examples=10)
def test_time_that_goes_back_is_let_through_unjudged(told: list[list[Reading]]) -> None:
    judge = trust()
    for beat in told:
        judge.judge(beat)
    found = judge.judge([Reading(BEGAN - 5, "a", 20.0, Quality.GOOD)])
    assert found.readings == (Reading(BEGAN - 5, "a", 20.0, Quality.GOOD),)
    assert found.revisions == ()
