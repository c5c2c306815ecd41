"""Who is drawn in a vessel stands for what is believed, and lies apart from the others."""

import itertools
import math
from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reports.page.picture.inhabitants import GROWN_UP_FROM_DAYS, inhabitants
from reports.page.picture.outline import outline_of
from reports.page.picture.sizes import PLACES
from reports.page.picture.swarm import REACH, Pool, places
from reports.page.picture.vessel_picture import KINDS
from reports.records import Range
from tests.kit.vessel_pictures import of_kind, pictures

SLOTS = 14


@given(pictures(), st.integers(4, 20))
def test_never_more_are_drawn_than_there_is_room_for(picture, slots: int) -> None:
    assert len(inhabitants(picture, slots)) <= slots


@given(st.lists(st.floats(0.0, 1.0), min_size=3, max_size=3).map(sorted))
def test_whole_larvae_are_what_is_sure_and_hollow_ones_what_may_be(shares: list[float]) -> None:
    hatched = Range(*shares)
    drawn = inhabitants(of_kind("cup", hatched=hatched), SLOTS)
    larvae = [one for one in drawn if one.where == "swimming"]
    sure = sum(one.sure for one in larvae)
    assert sure == round(hatched.p10 * SLOTS)
    assert len(larvae) == max(round(hatched.p90 * SLOTS), 1)
    assert len(drawn) == SLOTS
    if len(larvae) < SLOTS:
        assert any(one.glyph == "umbrella" for one in drawn), "some of the rest is seen to open"


@pytest.mark.parametrize("stage", ["nothing set", "harvested", "ended"])
def test_nobody_is_drawn_where_nobody_is_known_to_live(stage: str) -> None:
    assert inhabitants(of_kind("cup", stage=stage, hatched=Range(0.9, 1, 1), age_days=3.0), SLOTS) == []


def test_nothing_swims_before_the_hatch_and_what_grew_is_drawn_grown() -> None:
    assert {one.glyph for one in inhabitants(of_kind("cup", stage="set"), SLOTS)} == {"cyst"}
    grown = {
        days: Counter(one.glyph for one in inhabitants(of_kind("cup", stage="growing", age_days=days), SLOTS))
        for days in (None, 5.0, GROWN_UP_FROM_DAYS)
    }
    assert [*map(list, grown.values())] == [["juvenile"], ["juvenile"], ["adult"]]


def test_what_is_left_after_a_harvest_is_drawn_hollow() -> None:
    left = inhabitants(of_kind("cup", stage="being harvested", age_days=2.0), SLOTS)
    assert left
    assert not any(one.sure for one in left)


@pytest.mark.parametrize("size", PLACES)
@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("stage", ["set", "hatching", "hatched", "growing"])
def test_they_all_have_a_place_and_few_cover_each_other(stage: str, kind: str, size) -> None:
    room = PLACES[size]
    picture = of_kind(kind, stage=stage)
    outline = outline_of(picture.shape, room, room.bottom_y(1))
    drawn = inhabitants(picture, room.slots)
    found = places("cup-7", drawn, Pool(outline, room.low_y), room.animal)
    assert None not in found
    closest = [
        math.dist((a.x, a.y), (b.x, b.y)) / (REACH[one.glyph] * a.scale + REACH[other.glyph] * b.scale)
        for (one, a), (other, b) in itertools.combinations(zip(drawn, found, strict=True), 2)
    ]
    assert sum(near < 0.5 for near in closest) <= len(drawn) * 0.2


def test_another_vessel_has_its_animals_elsewhere() -> None:
    room = PLACES["full"]
    pool = Pool(outline_of(of_kind("cup").shape, room, 290.0), room.low_y)
    drawn = inhabitants(of_kind("cup"), room.slots)
    assert places("cup-1", drawn, pool, 1.0) == places("cup-1", drawn, pool, 1.0)
    assert places("cup-1", drawn, pool, 1.0) != places("cup-2", drawn, pool, 1.0)
