"""The state of a vessel: from the care log and what is believed of the hatch."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.care.deed import Deed
from daemon.estimates.quantile import Estimate
from daemon.stages import KEEPING_WATER, RUNNING, STAGES, Stage
from daemon.vessel_state import VesselState, course_of
from tests.kit.station import tray

CONE = tray(id="cone", count=1, kind="cone", mark_ml=2000.0, surface_cm2=130.0, low_ml=300.0, brim_ml=0.0)
NOW = 1_800_000_000
TO_MARK = {"to": "mark"}


def deed(name: str, amount: float | None = None, **detail: float | str) -> Deed:
    return Deed(NOW, "cone", name, amount, detail)


def believed(hatched: float, eats_in_s: int = 3600) -> dict[str, Estimate]:
    eats_at = NOW + eats_in_s
    return {
        "hatched_fraction": Estimate(hatched / 2, hatched, min(1.0, hatched * 2)),
        "instar_ii_at": Estimate(eats_at - 2.0, eats_at - 1.0, float(eats_at)),
    }


def state(*deeds: Deed, hatched: float = 0.0, eats_in_s: int = 3600) -> VesselState:
    return course_of(deeds).state(CONE, believed(hatched, eats_in_s), NOW)


SET, END = deed("set", 4.0), deed("end")


@pytest.mark.parametrize(
    ("deeds", "hatched", "stage"),
    [
        ((), 0.0, Stage.NOTHING_SET),
        ((deed("harvest", 1900.0),), 0.0, Stage.NOTHING_SET),
        ((SET,), 0.0, Stage.SET),
        ((SET,), 0.009, Stage.SET),
        ((SET,), 0.01, Stage.HATCHING),
        ((SET, deed("first-swimmer")), 0.0, Stage.HATCHING),
        ((SET, deed("count", 12.0)), 0.0, Stage.HATCHING),
        ((SET, deed("count", 0.0)), 0.0, Stage.SET),
        ((SET, deed("hatched", 0.0)), 0.0, Stage.SET),
        ((SET, deed("hatched", 0.5)), 0.0, Stage.HATCHING),
        ((SET,), 0.949, Stage.HATCHING),
        ((SET,), 0.95, Stage.HATCHED),
        ((SET, deed("hatched", 1.0)), 0.2, Stage.HATCHED),
        ((SET, deed("feed", 0.02)), 0.5, Stage.HATCHING),
        ((SET, deed("feed", 0.02)), 0.97, Stage.GROWING),
        ((SET, deed("harvest", 200.0)), 0.97, Stage.BEING_HARVESTED),
        ((SET, deed("harvest", 999.0)), 0.97, Stage.BEING_HARVESTED),
        ((SET, deed("harvest", 1000.0)), 0.97, Stage.HARVESTED),
        ((SET, deed("harvest", 600.0), deed("harvest", 600.0)), 0.97, Stage.HARVESTED),
        ((SET, deed("remove", 1500.0)), 0.2, Stage.HARVESTED),
        ((SET, deed("remove", 200.0)), 0.2, Stage.HATCHING),
        ((SET, deed("remove", 1500.0), deed("brine", 1500.0)), 0.2, Stage.HATCHING),
        ((SET, deed("harvest", 1900.0), deed("top-up", 1900.0, **TO_MARK)), 0.97, Stage.HATCHED),
        ((SET, END), 0.97, Stage.ENDED),
        ((SET, deed("harvest", 1900.0), END), 0.97, Stage.ENDED),
        ((SET, END, SET), 0.0, Stage.SET),
    ],
)
def test_deeds_and_the_hatch_say_the_stage(deeds: tuple[Deed, ...], hatched: float, stage: Stage) -> None:
    assert state(*deeds, hatched=hatched).stage is stage


def test_animals_that_can_surely_eat_are_growing_and_from_that_second_on() -> None:
    assert state(SET, hatched=0.97, eats_in_s=0).stage is Stage.GROWING
    assert state(SET, hatched=0.97, eats_in_s=1).stage is Stage.HATCHED


def test_where_nothing_is_believed_the_care_log_alone_decides() -> None:
    assert course_of([SET]).state(CONE, {}, NOW).stage is Stage.SET
    assert course_of([SET, deed("hatched", 1.0)]).state(CONE, {}, NOW).stage is Stage.HATCHED


def test_a_vessel_is_watched_always_or_with_a_batch_and_water_is_judged_where_it_is_kept() -> None:
    of_batch = replace(CONE, watch="batch")
    for deeds in ((), (SET,), (SET, deed("harvest", 1900.0)), (SET, END)):
        always = course_of(deeds).state(CONE, {}, NOW)
        assert always.watched
        assert always.judges("cold")
        assert always.judges("water") == always.judges("salinity") == (always.stage in KEEPING_WATER)
        with_batch = course_of(deeds).state(of_batch, {}, NOW)
        assert with_batch.watched == with_batch.judges("probe") == (with_batch.stage in RUNNING)


def test_no_stage_keeps_water_or_asks_for_an_end_without_a_batch() -> None:
    assert set(STAGES) == set(Stage)
    for rule in STAGES.values():
        assert rule.runs or not (rule.keeps_water or rule.hatch_ahead or rule.animals or rule.asks_end)


amounts = st.floats(0.0, 2500.0)
some_deed = st.one_of(
    st.builds(lambda a: deed("set", a), amounts),
    st.builds(lambda a: deed("harvest", a), amounts),
    st.builds(lambda a: deed("remove", a), amounts),
    st.builds(lambda a: deed("brine", a, salt_g_per_l=25.0), amounts),
    st.builds(lambda a: deed("top-up", a), amounts),
    st.builds(lambda a: deed("top-up", a, **TO_MARK), amounts),
    st.builds(lambda a: deed("hatched", a), st.floats(0.0, 1.0)),
    st.just(deed("first-swimmer")),
    st.just(END),
)


@given(st.lists(some_deed, max_size=12), st.floats(0.0, 1.0), st.booleans())
def test_whatever_was_done_a_batch_runs_from_set_to_end_and_an_emptied_vessel_keeps_no_water(
    deeds: list[Deed], hatched: float, can_feed: bool
) -> None:
    found = state(*deeds, hatched=hatched, eats_in_s=-1 if can_feed else 1)
    last = next((one.deed for one in reversed(deeds) if one.deed in ("set", "end")), None)
    assert (found.stage in RUNNING) == (last == "set") == (found.set_at is not None)
    since = max((n for n, one in enumerate(deeds) if one.deed == "set"), default=0)
    filled = max((n for n, one in enumerate(deeds) if one.level_given), default=0)
    after = deeds[max(since, filled) :]
    drawn = sum(one.amount or 0.0 for one in after if one.deed in ("harvest", "remove"))
    poured = sum(
        one.amount or 0.0 for one in after if one.deed in ("brine", "top-up") and not one.level_given
    )
    if found.stage in KEEPING_WATER:
        assert drawn - poured < 1000.0
