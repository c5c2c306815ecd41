"""What can be read in a chart can be read on a phone, in grey, and by eyes that see no red or no green."""

import io
from itertools import combinations

import pytest
from matplotlib.colors import to_rgb
from matplotlib.transforms import Bbox
from PIL import Image

from reports.chart import palette
from reports.chart.type import SHOWN_PX, shown_pt
from reports.records import Event, Range, RangePoint, RoomAir, SilencedAlarm, Span, TimeRange
from tests.kit.drawn_words import drawn, drawn_figure, drawn_words
from tests.kit.report_samples import at_hour, band, loss_ml, night, series, vessel

# An A4 page is 210 mm by 297 mm (ISO 216); 10 mm at every edge are left free (common practice, no source).
PAGE_MM = (190.0, 277.0)
POINT_MM = 25.4 / 72
LEAST_PT = 7.0


def cups(count):
    """So many cups by a cold window, no two alike, some of them in trouble."""
    troubles = {
        0: {"open_alarms": (Event(at_hour(8.2), "cold", "the water is too cold"),)},
        3: {"out": ((2, 4), (15, 16))},
        5: {"loss_ml": band(lambda h: 44 + loss_ml(h), lambda _: 4.0), "fill_ml": 52.0},
        6: {"stage": "harvested", "deeds": (Event(at_hour(13), "harvest", "harvested, 240 mL drawn off"),)},
        7: {"batch_set_at": None, "stage": "nothing set"},
    }
    return [
        vessel(f"cup-{n + 1}", 1, offset_c=1.1 * (n % 12) - 7.0, **troubles.get(n, {})) for n in range(count)
    ]


SILENCED = SilencedAlarm("hot", "warm water", at_hour(5), at_hour(40))
LONG_AGO = TimeRange(at_hour(-9), at_hour(-4), at_hour(-1))
NIGHTS = {
    "one": night(),
    "two in °F": night(vessel(), vessel("cone", 1, offset_c=5.5), unit="F"),
    "an outage": night(
        vessel(out=((2, 4), (15, 16)), off=((2, 4),), silenced=(SILENCED,)),
        outages=(Span(at_hour(2), at_hour(4)),),
    ),
    "a hot day": night(vessel(offset_c=4.2, hatch_t50=TimeRange(at_hour(-6), at_hour(3), at_hour(30)))),
    "half long ago": night(vessel(hatch_t50=LONG_AGO)),
    "six": night(*cups(6)),
    "six in German": night(*cups(6), language="de"),
    "twelve": night(*cups(12), room_air=(RoomAir(("cup-1",), series(lambda h: 14.0 + 0.2 * h)),)),
    "twenty-four": night(*cups(24)),
    "long names": night(vessel("tray by the window " * 4), station="The room at the end of the corridor"),
    "three days": night(*cups(3), span=Span(at_hour(-48), at_hour(24))),
    "two weeks": night(span=Span(at_hour(-312), at_hour(24))),
}


@pytest.fixture(scope="module", params=NIGHTS.values(), ids=NIGHTS.keys())
def each_night(request):
    """Drawn once for all that is asked of it: the figure, and its words."""
    figure, _, words = drawn(request.param)
    return figure, words


def test_no_type_is_smaller_than_7_pt_on_a_phone_of_375_px(each_night):
    """A CSS point is 96/72 px (CSS Values and Units Level 4, 6.2); a letter's page keeps 16 px free."""
    assert SHOWN_PX == 375 - 2 * 16
    figure, words = each_night
    shown = SHOWN_PX / figure.bbox.width
    for word in words:
        in_the_picture_px = word.size / 72 * figure.dpi
        assert in_the_picture_px * shown * 72 / 96 >= LEAST_PT, word.text
        assert shown_pt(word.size) == pytest.approx(in_the_picture_px * shown * 72 / 96)


def test_words_stand_inside_the_picture_and_never_over_each_other(each_night):
    figure, words = each_night
    assert len(words) > 15
    for word in words:
        assert word.box.x0 >= 0, word.text
        assert word.box.y0 >= 0, word.text
        assert word.box.x1 <= figure.bbox.width, word.text
        assert word.box.y1 <= figure.bbox.height, word.text
    for one, other in combinations(words, 2):
        both = Bbox.intersection(one.box, other.box)
        # A box holds the height of a line, which its letters do not fill.
        assert both is None or both.width <= 2 or both.height <= 4, (one.text, other.text)


def test_twelve_vessels_fit_one_page_of_a4_with_type_of_7_pt_and_more():
    figure, _, words = drawn(NIGHTS["twelve"])
    mm_a_px = min(PAGE_MM[0] / figure.bbox.width, PAGE_MM[1] / figure.bbox.height)
    smallest_px = min(word.size for word in words) / 72 * figure.dpi
    assert smallest_px * mm_a_px / POINT_MM >= LEAST_PT


def test_a_limits_words_do_not_cover_the_curve(each_night):
    figure, _ = each_night
    for axes in figure.axes:
        labels = [text for text in axes.texts if text.get_text().startswith(("hot above", "cold below"))]
        curve = max(axes.lines, key=lambda line: len(line.get_xdata()), default=None)
        for label in labels:
            box = label.get_window_extent()
            inside = [at for at in axes.transData.transform(curve.get_xydata()) if box.contains(at[0], at[1])]
            assert not inside, label.get_text()


def luminance(colour):
    """Relative luminance (WCAG 2.2, definition)."""
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in colour]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one, other):
    """Contrast ratio (WCAG 2.2, definition)."""
    light, dark = sorted((luminance(to_rgb(one)), luminance(to_rgb(other))), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_measure_of_contrast_gives_what_the_standard_names():
    """WCAG 2.2: from 1 : 1 to 21 : 1; #767676 on white is the known border of 4.5 : 1 (from memory)."""
    assert contrast("white", "black") == pytest.approx(21.0)
    assert contrast("white", "white") == pytest.approx(1.0)
    assert contrast("#767676", "white") == pytest.approx(4.54, abs=0.01)


MARKS = (palette.WATER, palette.LIGHT, palette.SALT, palette.HATCH, palette.INK)


@pytest.mark.parametrize("mark", MARKS)
def test_every_mark_stands_out_3_to_1_from_all_it_lies_on(mark):
    """WCAG 2.2, success criterion 1.4.11 (non-text contrast)."""
    band = [palette.BAND_ALPHA * c + 1 - palette.BAND_ALPHA for c in to_rgb(mark)]
    for ground in ("white", palette.COMFORT, palette.UNREAD, band):
        assert contrast(mark, ground) >= 3.0


@pytest.mark.parametrize(("offset_c", "pattern"), [(-8.0, "////"), (2.0, None), (6.0, "\\\\\\\\")])
def test_what_is_too_cold_or_too_hot_is_hatched_so_that_grey_tells_it(offset_c, pattern):
    cups = [vessel(f"cup-{n}", 1, offset_c=offset_c) for n in range(3)]
    figure, _ = drawn_figure(night(*cups))
    hatched = {
        part.get_hatch()
        for axes in figure.axes
        for part in axes.collections
        if any(len(path.vertices) for path in part.get_paths())
    }
    assert hatched - {None} == ({pattern} if pattern else set())


def test_the_lamps_hours_are_a_black_bar_that_says_so():
    figure, picture = drawn_figure(night())
    (label,) = [text for axes in figure.axes for text in axes.texts if text.get_text() == "lamp hours"]
    box = label.get_window_extent()
    grey = Image.open(io.BytesIO(picture)).convert("L")
    beside = (round(box.x0) - 5, round(grey.height - (box.y0 + box.y1) / 2))
    assert grey.getpixel(beside) < 50
    assert label.get_color() == "white"


def test_light_is_told_in_words_that_a_child_knows():
    said = {drawn.text for drawn in drawn_words(night())}
    assert {"dark", "dim", "bright", "dashed: lit from 200 lux", "letters", "done"} <= said
    assert not {"0", "10", "100", "1000", "said"} & (said - {"0", "100"})


def test_a_half_that_began_before_the_picture_is_put_in_words():
    begun = {drawn.text for drawn in drawn_words(NIGHTS["a hot day"])}
    assert {"half: from Fri 14:00", "half: to Sun 02:00"} <= begun
    assert "half: before this picture" in {drawn.text for drawn in drawn_words(NIGHTS["half long ago"])}


def test_deeds_are_not_marked_as_the_coldest_and_the_warmest_are():
    figure, _ = drawn_figure(night())
    signs = {line.get_marker() for axes in figure.axes for line in axes.lines} - {"None", "", None}
    assert {"v", "^", "P", "s"} <= signs
    rows = [axes for axes in figure.axes if any(line.get_marker() == "P" for line in axes.lines)]
    assert all(line.get_marker() == "P" for axes in rows for line in axes.lines)


def test_after_a_harvest_level_salt_and_hatch_end_with_it():
    """Believed on as if it stood there, the level would run to -900 mL and the salt to 36.8 g/kg."""
    drawn_off_at = at_hour(14)
    after = RangePoint(at_hour(15), Range(890.0, 900.0, 910.0))
    record = night(
        vessel(
            stage="harvested",
            loss_ml=(*vessel().loss_ml, after),
            deeds=(Event(drawn_off_at, "harvest", "harvested, 900 mL drawn off"),),
        )
    )
    figure, _ = drawn_figure(record)
    ended = [
        max(line.get_xdata())
        for axes in figure.axes
        for line in axes.lines
        if len(line.get_xdata()) > 10 and axes.get_ylim() != figure.axes[1].get_ylim()
    ]
    (level,) = [axes for axes in figure.axes if any(t.get_text().startswith("low mark") for t in axes.texts)]
    assert level.get_ylim()[0] > -60
    assert "drawn off 10:00" in {text.get_text() for text in level.texts}
    assert sum(at < drawn_off_at.timestamp() for at in ended) >= 3
