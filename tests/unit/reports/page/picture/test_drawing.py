"""A vessel as SVG: whole, safe to hold in a page, within its frame, each state told from the others."""

import itertools
import os
import re
import subprocess
import sys
from dataclasses import replace
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given, settings

from reports.page.picture.drawing import vessel_svg
from reports.page.picture.fittings import alarm_mark
from reports.page.picture.level import scale_of
from reports.page.picture.outline import outline_of
from reports.page.picture.parts import shared_parts
from reports.page.picture.sizes import PLACES
from reports.page.picture.vessel_picture import KINDS, FeltWarmth, LampLight, ProbePlace
from reports.page.picture.words import title
from reports.records import Range
from reports.vessel_line import STAGES
from tests.kit.checkout import ROOT
from tests.kit.vessel_pictures import HATCHING, RUNNING, SVG, of_kind, painted, path_points, pictures

CSS = (ROOT / "reports" / "page" / "static" / "picture.css").read_text("utf-8")
# Half of the widest stroke (picture.css).
STROKE = 4.0
ROUNDED = 0.06
ALLOWED = {
    *("svg", "title", "desc", "path", "circle", "g", "use", "defs", "text", "tspan"),
    *("linearGradient", "stop"),
}


@given(pictures())
@settings(max_examples=40, deadline=None)
def test_a_drawing_is_whole_and_holds_neither_script_nor_style(picture) -> None:
    for size in PLACES:
        root = ET.fromstring(vessel_svg(picture, size).encode("utf-8", "strict"))
        names = [element.tag.removeprefix(SVG) for element in root.iter()]
        assert set(names) <= ALLOWED
        attributes = {name for element in root.iter() for name in element.attrib}
        assert not any(name == "style" or name.startswith("on") for name in attributes)
        ids = [element.get("id") for element in root.iter() if element.get("id")]
        assert len(ids) == len(set(ids))
        asked = re.findall(r'(?:href="|url\()#(\w+)', ET.tostring(root, encoding="unicode"))
        assert {*asked, root.get("aria-labelledby")} <= set(ids)


@given(pictures())
@settings(max_examples=30, deadline=None)
def test_a_drawing_is_called_what_its_title_says(picture) -> None:
    root = ET.fromstring(vessel_svg(picture, "full"))
    assert root.get("role") == "img"
    assert (root[0].tag, root[0].text) == (f"{SVG}title", title(picture))
    assert root[1].tag == f"{SVG}desc"
    assert root[1].text


@given(pictures())
@settings(max_examples=40, deadline=None)
def test_whatever_is_painted_lies_within_the_frame(picture) -> None:
    for size, room in PLACES.items():
        for named, x, y in painted(vessel_svg(picture, size)):
            assert -STROKE <= x <= room.width + STROKE, (size, named, x)
            assert -STROKE <= y <= room.height + STROKE, (size, named, y)


@given(pictures())
@settings(max_examples=40, deadline=None)
def test_animals_and_cysts_are_drawn_in_the_water_and_in_the_glass(picture) -> None:
    for size, room in PLACES.items():
        outline = outline_of(picture.shape, room, room.bottom_y(picture.count))
        scale = scale_of(picture, outline.rim_y, room.brim_y, room.low_y, outline.bottom_y)
        surface = scale.low_y if picture.loss_ml is None else scale.y(picture.loss_ml.p90)
        root = ET.fromstring(vessel_svg(picture, size))
        for one in root.iter(f"{SVG}use"):
            x, y = map(float, re.findall(r"-?[\d.]+", one.get("transform", ""))[:2])
            assert surface - ROUNDED <= y <= outline.bottom_y
            assert abs(x - outline.centre_x) <= outline.half_at(y)


@pytest.mark.parametrize("size", PLACES)
@pytest.mark.parametrize("kind", KINDS)
def test_no_two_stages_are_drawn_alike(kind: str, size) -> None:
    drawn = {stage: without_words(vessel_svg(at(kind, stage), size)) for stage in STAGES}
    for one, other in itertools.combinations(STAGES, 2):
        assert drawn[one] != drawn[other], (one, other)


@pytest.mark.parametrize("size", PLACES)
def test_kinds_trays_lids_lamps_probes_and_alarms_are_told_apart_without_words(size) -> None:
    plain = of_kind("cup", alarms=0, probe=None, lamp=None, warmth=None)
    others = [
        *(replace(plain, shape=of_kind(kind).shape) for kind in ("jar", "cone")),
        *(replace(plain, lamp=lamp) for lamp in LampLight),
        *(replace(plain, warmth=warmth) for warmth in FeltWarmth),
        replace(plain, probe=ProbePlace.AIR),
        replace(plain, covered=True),
        replace(plain, count=24),
        replace(plain, alarms=1),
        replace(plain, loss_ml=None),
    ]
    drawn = [without_words(vessel_svg(one, size)) for one in (plain, *others)]
    assert len(set(drawn)) == len(drawn)


def test_no_two_sorts_of_warmth_share_a_shape() -> None:
    drawn = [vessel_svg(replace(HATCHING, warmth=warmth), "small") for warmth in FeltWarmth]
    shapes = [re.search(r'<path d="([^"]*)" class="vp-warmth', one).group(1) for one in drawn]
    assert len(set(shapes)) == len(FeltWarmth)


def test_an_alarm_is_marked_in_every_size_and_only_where_one_is() -> None:
    assert 'class="vp-alarm"' in alarm_mark(0, 0, 1)
    for size in PLACES:
        assert 'class="vp-alarm"' in vessel_svg(HATCHING, size)
        assert 'class="vp-alarm"' not in vessel_svg(replace(HATCHING, alarms=0), size)


@given(pictures().filter(lambda one: one.loss_ml is not None and one.stage in RUNNING))
@settings(max_examples=40, deadline=None)
def test_the_soft_edge_reaches_over_all_that_is_believed_of_the_level(picture) -> None:
    for size, room in PLACES.items():
        outline = outline_of(picture.shape, room, room.bottom_y(picture.count))
        scale = scale_of(picture, outline.rim_y, room.brim_y, room.low_y, outline.bottom_y)
        high, low = scale.y(picture.loss_ml.p10), scale.y(picture.loss_ml.p90)
        root = ET.fromstring(vessel_svg(picture, size))
        soft = [one for one in root.iter(f"{SVG}path") if one.get("fill", "").startswith("url(")]
        sure = next(one for one in root.iter(f"{SVG}path") if one.get("class") == "vp-water")
        assert min(heights(sure)) == pytest.approx(low, abs=ROUNDED)
        if soft:
            assert (min(heights(soft[0])), max(heights(soft[0]))) == pytest.approx((high, low), abs=ROUNDED)
        else:
            assert low - high < 1.0


@pytest.mark.parametrize("size", PLACES)
def test_water_that_is_not_known_is_drawn_neither_full_nor_empty(size) -> None:
    drawn = vessel_svg(replace(HATCHING, loss_ml=None), size)
    assert 'class="vp-water"' not in drawn
    assert 'class="vp-surface"' not in drawn
    assert ">?</text>" in drawn
    assert ">?</text>" not in vessel_svg(HATCHING, size)


def test_the_same_vessel_is_drawn_in_the_same_bytes_by_another_process() -> None:
    code = (
        "from reports.page.picture.drawing import vessel_svg; from tests.kit.vessel_pictures import HATCHING;"
        "print(vessel_svg(HATCHING, 'full'))"
    )
    environment = {**os.environ, "PYTHONHASHSEED": "77", "PYTHONPATH": str(ROOT)}
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, env=environment, capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == vessel_svg(HATCHING, "full")
    other = replace(HATCHING, vessel="tray-b")
    assert without_words(vessel_svg(other, "full")) != without_words(vessel_svg(HATCHING, "full"))


def test_a_small_drawing_is_small() -> None:
    """24 of them on a page that is to stay under 100 kB (issue 16) leave about half of it to words."""
    for kind, stage in itertools.product(KINDS, STAGES):
        assert len(vessel_svg(at(kind, stage), "small", parts_apart=True).encode()) < 2_150
        assert len(vessel_svg(replace(at(kind, stage), count=24), "small").encode()) < 4_000


@given(pictures())
@settings(max_examples=30, deadline=None)
def test_parts_that_a_page_keeps_are_those_that_a_drawing_would_hold(picture) -> None:
    whole = vessel_svg(picture, "full")
    root = ET.fromstring(whole)
    apart = vessel_svg(picture, "full", parts_apart=True)
    asked = set(re.findall(r"#vp-(\w+)", apart))
    kept = ET.fromstring(shared_parts())
    assert asked <= {element.get("id", "").removeprefix("vp-") for element in kept.iter()}
    assert len(list(root.iter(f"{SVG}use"))) == apart.count("<use ")


def test_every_class_that_is_drawn_has_a_rule_and_every_rule_a_drawing() -> None:
    every = [replace(at(kind, stage), covered=True, count=2) for kind in KINDS for stage in STAGES]
    every += [replace(HATCHING, lamp=lamp, loss_ml=None) for lamp in LampLight]
    every += [replace(HATCHING, warmth=warmth) for warmth in FeltWarmth]
    drawn = "".join(vessel_svg(one, size) for one in every for size in PLACES)
    used = {name for names in re.findall(r'class="([^"]*)"', drawn) for name in names.split()}
    ruled = set(re.findall(r"\.(vp[\w-]*)", CSS))
    steps = {"vp-steps", "vp-step", "vp-past", "vp-ahead", "vp-glyph", "vp-parts"}
    assert used - ruled == {"vp-big", "vp-words", "vp-alarm-words"} - ruled
    assert ruled - used - steps == set()


def at(kind: str, stage: str):
    """A vessel at a stage, with what is known of it then."""
    runs = stage in RUNNING
    share = {"hatching": Range(0.3, 0.5, 0.7), "hatched": Range(0.9, 0.96, 0.99)}.get(stage)
    known = {
        "loss_ml": of_kind(kind).loss_ml if runs else None,
        "age_days": 8.0 if stage == "growing" else 1.0,
    }
    return of_kind(kind, stage=stage, hatched=share, **known)


def without_words(svg: str) -> str:
    """A drawing without its title, description, words and names of parts."""
    bare = re.sub(r"<(title|desc)[^>]*>.*?</\1>|<text class=\"vp-words.*?</text>", "", svg)
    own = re.search(r'id="([0-9a-f]{6})t"', svg).group(1)
    return bare.replace(own, "")


def heights(path: ET.Element) -> list[float]:
    return [y for _, y in path_points(path.get("d", ""))]
