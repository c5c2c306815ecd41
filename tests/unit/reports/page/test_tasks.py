"""Today: all that is to be done and nothing that is not, the most pressing first."""

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from reports.letters.feeding import FeedDue
from reports.letters.harvest import HarvestNews
from reports.letters.stages import STAGES
from reports.page.shelf import first_of_all, shelf
from reports.page.task import Task
from reports.page.tasks import own_care, said_once, tasks
from reports.page.vessel_due import VesselDue
from reports.records import BrineDue, Event, NightRecord, Range, RangePoint, SilencedAlarm, TimeRange
from tests.kit.report_samples import SET_AT, at_hour, away, here, night, series, vessel

KINDS = ("hot", "cold", "lamp", "probe", "water", "salinity", "swing")


def calm(name: str = "tray-a", **changed):  # type: ignore[no-untyped-def]
    """A vessel in which nothing is to be done."""
    steady = tuple(RangePoint(at_hour(h), Range(1.0, 2.0, 3.0)) for h in (0.0, 23.9))
    plain = {
        "water_c": series(lambda _: 24.0),
        "loss_ml": steady,
        "hatched_fraction": (),
        "fill_ml": 0.0,
        "low_mark_at": None,
        "stage": "set",
    }
    return vessel(name, **{**plain, **changed})


def due(record: NightRecord, **of: object) -> list[VesselDue]:
    plain = {"vessel_kind": "cup", "seen": None, "feed": None, "harvest": None, **of}
    return [VesselDue(one.vessel, one.count, **plain) for one in record.vessels]  # type: ignore[arg-type]


def test_nothing_to_do_is_no_task() -> None:
    record = night(calm())
    assert tasks(here(), record, due(record)) == []
    assert not first_of_all(here(), record, []).asks


def test_alarms_come_before_water_and_water_before_food() -> None:
    hot = calm("jar", open_alarms=(Event(at_hour(20), "hot", "too hot"),))
    soon = TimeRange(at_hour(30), at_hour(40), at_hour(50))
    dry = calm("cone", fill_ml=30.0, low_mark_at=soon, count=1)
    record = night(calm("cup", count=1, stage="growing"), dry, hot)
    feed = FeedDue("cup", 1, 220.0, seen=True)
    known = [replace(one, feed=feed) if one.vessel == "cup" else one for one in due(record)]
    found = tasks(away(), record, known)
    assert [task.about for task in found] == [("jar",), ("cone",), ("cup",)]
    assert "give food: a pinch" in found[-1].what


def test_a_dead_probe_is_told_of_once_and_a_station_that_reads_nothing_by_itself() -> None:
    unread = {"readings_good": 500, "readings_came": 500}
    dead = calm("jar", open_alarms=(Event(at_hour(20), "probe", "gives nothing to believe"),))
    record = night(calm(), dead, **unread)
    assert [task.about for task in tasks(away(), record, due(record))] == [("jar",)]
    record = night(calm(), **unread)
    (task,) = tasks(away(), record, due(record))
    assert task.about == ()
    assert "power and the probes' cables are firm" in task.what


def test_vessels_of_which_the_same_is_asked_stand_in_one_task_with_each_s_amount() -> None:
    thirsty = [vessel(name, count=1, stage="set", fill_ml=ml) for name, ml in (("a", 31.0), ("b", 36.0))]
    soon = [replace(one, low_mark_at=replace(one.low_mark_at, p10=at_hour(30))) for one in thirsty]
    record = night(*soon, vessels=tuple(soon))
    found = [task for task in tasks(away(), record, due(record)) if "fill" in task.what.lower()]
    assert [task.about for task in found] == [("a", "b")]
    assert [step.partition(":")[0] for step in found[0].steps] == ["a", "b"]


def cone_due(name: str, *, has_heater: bool) -> VesselDue:
    window = TimeRange(at_hour(10), at_hour(12), at_hour(14))
    news = HarvestNews(
        vessel=name,
        count=1,
        opens_at=window,
        closes_at=window,
        hatched_fraction=Range(0.5, 0.6, 0.7),
        closing=False,
        growing=True,
        mark_ml=1000.0,
        has_heater=has_heater,
    )
    return VesselDue(name, 1, "cone", 0.6, None, news)


def test_what_counts_for_all_is_said_once_and_what_is_dangerous_at_a_place_at_each() -> None:
    names = ("a", "b", "warm")
    record = night(*(cups := tuple(calm(name, count=1, stage="growing") for name in names)), vessels=cups)
    known = [cone_due(name, has_heater=name == "warm") for name in names]
    found = tasks(here(), record, known)
    assert [task.about for task in found] == [("a", "b"), ("warm",)]
    once = said_once(here(), found)
    assert once.startswith("Wash your hands after. Cyst dust")
    told = [own_care(here(), task, once) for task in found]
    assert all("Wash your hands" not in line for line in told)
    assert all(line.endswith("What stands above all tasks counts here, too.") for line in told)
    assert "Dry hands" not in told[0]
    assert "Dry hands" in told[1]


def test_what_one_task_alone_asks_for_stands_with_it() -> None:
    record = night(*(cups := (calm("a", count=1, stage="growing"),)), vessels=cups)
    found = tasks(here(), record, [cone_due("a", has_heater=True)])
    assert said_once(here(), found) == ""
    assert own_care(here(), found[0], "").startswith("Dry hands")
    assert "Wash your hands after. Cyst dust" in own_care(here(), found[0], "")


@given(
    st.lists(
        st.builds(
            lambda stage, alarms, silenced, fill_ml, brine: (stage, alarms, silenced, fill_ml, brine),
            st.sampled_from(sorted(STAGES)),
            st.sets(st.sampled_from(KINDS), max_size=3),
            st.booleans(),
            st.sampled_from((0.0, 12.0, 45.0)),
            st.booleans(),
        ),
        min_size=1,
        max_size=8,
    ),
    st.booleans(),
    st.booleans(),
)
def test_whatever_stands_each_open_alarm_has_a_task_and_no_task_is_without_a_reason(
    drawn, attended: bool, clock_sure: bool
) -> None:
    cups = tuple(
        vessel(
            f"cup-{number}",
            count=1,
            stage=stage,
            open_alarms=tuple(Event(at_hour(20), kind, kind) for kind in sorted(alarms)),
            silenced=(SilencedAlarm("cold", "too cold", at_hour(3), None),) if silenced else (),
            fill_ml=fill_ml,
            batch_set_at=None if stage in ("nothing set", "ended") else SET_AT,
            brine=BrineDue(40.0, 25.0, harvested=stage == "harvested") if brine else None,
        )
        for number, (stage, alarms, silenced, fill_ml, brine) in enumerate(drawn)
    )
    record = night(vessels=cups, clock_sure=clock_sure)
    setting = here() if attended else away()
    found = tasks(setting, record, due(record))
    told = {one for task in found for one in task.about}
    assert {one.vessel for one in cups if one.open_alarms} <= told
    assert all(_is_whole(task) for task in found)
    once = said_once(setting, found)
    for task in found:  # nothing that is to be minded is lost, whatever is said once
        read = f"{once} {own_care(setting, task, once)}"
        assert all(line in read for line in task.care)
    lead = first_of_all(setting, record, found)
    assert lead.asks == bool(found)  # the shelf says "nothing" only where today says so
    assert not found or lead.what.endswith(found[0].what[1:])
    shown = {one.vessel: one.first.what for one in shelf(setting, record, found) if one.first is not None}
    for name, what in shown.items():
        assert what in {task.what for task in found[1:] if name in task.about}
    # What is not told above all others stands at its vessel.
    assert {one for task in found[1:] for one in task.about} == set(shown)
    looked_for = {one for task in found if "note what you see" in task.what for one in task.about}
    stages = {one.vessel: one.stage for one in cups}
    assert {stages[one] for one in looked_for} <= {"set", "hatching", "hatched", "growing"}


def _is_whole(task: Task) -> bool:
    return task.what[:1].isupper() and task.what.rstrip().endswith(".")
