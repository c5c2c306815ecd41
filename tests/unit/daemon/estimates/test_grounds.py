"""Why the numbers are what they are: every one has its grounds, and they can be read."""

import json
from collections import Counter
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from daemon.care.deed import Deed
from daemon.estimates.grounds import Grounds
from daemon.estimates.hatch.lots import Lots
from daemon.estimates.vessel import VesselBelief
from reports.explanation import Ground, Observations, explanation
from reports.records import Range, Setting, Span
from tests.kit.command_line import naupliad
from tests.kit.recordings import good, tape_rows, unix, write_care, write_tape
from tests.kit.station import station, station_text

pytestmark = pytest.mark.usefixtures("undrawn")

CUP = station().vessels[0]
BEGAN = 1_800_000_000
HOUR = 3600


def fed(belief: VesselBelief, until: int, began: int = BEGAN) -> VesselBelief:
    for at in range(began, until + 1, 600):
        belief.feed_reading(at, "water_c", 23.0)
    return belief


def of(belief: VesselBelief, model: str, at: int) -> Grounds:
    return next(one for one in belief.grounds(at) if one.model == model)


@pytest.mark.parametrize("kind", ["cup", "cone"])
def test_every_number_that_is_estimated_has_its_grounds_once(kind: str) -> None:
    belief = VesselBelief(replace(CUP, kind=kind), 600)
    belief.feed_deed(Deed(BEGAN, "cup", "set", 0.05))
    fed(belief, BEGAN + 6 * HOUR)
    at = BEGAN + 6 * HOUR
    explained = Counter(quantity for one in belief.grounds(at) for quantity in one.quantities)
    assert explained == Counter(list(belief.estimates(at)))


def test_a_vessel_without_a_batch_has_nothing_to_explain() -> None:
    assert fed(VesselBelief(CUP, 600), BEGAN + HOUR).grounds(BEGAN + HOUR) == []


def test_what_taught_a_number_is_counted_with_the_last_of_it() -> None:
    belief = VesselBelief(CUP, 600)
    belief.feed_deed(Deed(BEGAN, "cup", "set", 0.05, {"salt_g_per_l": 25.0}))
    fed(belief, BEGAN + 24 * HOUR)
    for hours, detail in ((48, {"to": "mark"}), (54, {}), (102, {"above_ml": 5.0})):
        fed(belief, BEGAN + hours * HOUR, belief.reached + 600)
        belief.feed_deed(Deed(BEGAN + hours * HOUR, "cup", "top-up", 10.0, detail))
    at = BEGAN + 106 * HOUR
    fed(belief, at, belief.reached + 600)
    water, hatch = of(belief, "water", at), of(belief, "hatch", at)
    assert [(lesson.kind, lesson.count) for lesson in water.lessons] == [("top-up", 2)]
    assert water.learned_at == BEGAN + 102 * HOUR
    assert hatch.lessons == ()
    assert hatch.learned_at is None
    # The factor's range is what the prior was narrowed to: 0.65 with an sd of 0.5 in its logarithm.
    k = water.knowns["k"]
    assert k.p10 < k.p50 < k.p90
    assert k.p90 / k.p10 < 0.8 * 3.6


def test_time_without_readings_is_said_apart() -> None:
    belief = VesselBelief(CUP, 600)
    belief.feed_deed(Deed(BEGAN, "cup", "set", 0.05))
    fed(belief, BEGAN + 10 * HOUR)
    fed(belief, BEGAN + 20 * HOUR, BEGAN + 16 * HOUR)
    water = of(belief, "water", BEGAN + 20 * HOUR)
    assert water.unread_h == pytest.approx(6.0, abs=0.2)
    assert water.read_h == pytest.approx(14.0, abs=0.2)


def test_other_batches_of_the_lot_are_named_as_teachers() -> None:
    lots = Lots()
    first, second = (VesselBelief(replace(CUP, id=name), 600, lots=lots) for name in ("one", "two"))
    for belief, name in ((first, "one"), (second, "two")):
        belief.feed_deed(Deed(BEGAN, name, "set", 0.05, {"lot": "spring"}))
        fed(belief, BEGAN + 20 * HOUR)
    assert of(second, "hatch", BEGAN + 20 * HOUR).lessons == ()
    first.feed_deed(Deed(BEGAN + 20 * HOUR, "one", "first-swimmer"))
    said = of(second, "hatch", BEGAN + 20 * HOUR).lessons
    assert [(lesson.kind, lesson.count, lesson.last_at) for lesson in said] == [("lot", 1, BEGAN)]


def test_the_words_say_what_it_was_computed_and_learned_from() -> None:
    now = datetime(2027, 1, 15, 20, tzinfo=UTC)
    ground = Ground(
        model="water",
        quantities=("loss_ml",),
        span=Span(now - timedelta(hours=5), now),
        unread=timedelta(hours=1),
        observations=(Observations("top-up", 2, now - timedelta(hours=4)),),
        knowns=(("k", Range(0.5, 0.7, 0.9)),),
    )
    text = explanation(Setting("Room", "C", now, True, now, None), "tray", 24, [ground])
    assert "tray (24 cups)" in text
    assert "from today at 15:00 to today at 20:00, 1 hour of it unread" in text
    assert "between 0.50 and 0.90, most likely 0.70" in text
    assert "Learned from 2 fillings to a known level; the last today at 16:00." in text


def test_the_command_explains_in_words_and_in_json(tmp_path: Path) -> None:
    began = unix("2027-01-15T09:00:00+00:00")
    write_tape(tmp_path / "tape.csv", tape_rows(began, 90, good(22.0)))
    write_care(tmp_path / "care.csv", "2027-01-15T09:05:00+00:00,cup,set,0.05,g,salt_g_per_l=25;lot=spring")
    (tmp_path / "station.toml").write_text(station_text(), encoding="utf-8")
    files = [tmp_path / name for name in ("tape.csv", "care.csv", "station.toml", "out")]
    played = naupliad("replay", files[0], "--care", files[1], "--config", files[2], "--out", files[3])
    assert played.code == 0, played.err
    text = naupliad("now", "--explain", "--state", files[3])
    assert text.code == 0
    assert "what the numbers rest on" in text.out
    assert "Nobody's observation has taught it anything yet." in text.out
    said = json.loads(naupliad("now", "--explain", "--state", files[3], "--json").out)
    grounds = said["vessels"]["cup"]["grounds"]
    assert [ground["model"] for ground in grounds] == ["water", "salt", "hatch", "warmth"]
    assert grounds[0]["knowns"]["k"]["p50"] > 0.0
    assert "grounds" not in json.loads(naupliad("now", "--state", files[3], "--json").out)["vessels"]["cup"]
