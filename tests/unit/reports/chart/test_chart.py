"""The night chart: a valid picture of the expected size for whatever a night was, always the same bytes."""

import io
import subprocess
import sys
from datetime import datetime, timedelta
from itertools import pairwise

import matplotlib as mpl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from matplotlib.figure import Figure
from PIL import Image

from reports import night as facts
from reports.chart.alarms import alarm_events
from reports.chart.calculated import hatch_panel, level_panel, salt_panel
from reports.chart.event_strip import laid_out
from reports.chart.frame import LEFT_PX, MARGIN_PX, frame_of, set_clock
from reports.chart.lines import line_of
from reports.chart.night_chart import chart_size_px, draw_night
from reports.chart.type import WIDTH_PX, wide_px
from reports.records import Event, NightRecord, Point, Range, RangePoint, SilencedAlarm, Span, TimeRange
from tests.kit.report_samples import BEGAN, ENDED, ZONE, any_of, at_hour, night, series, vessel

EMPTY = {
    "water_c": (),
    "light": (),
    "loss_ml": (),
    "salinity_g_per_kg": (),
    "hatched_fraction": (),
    "hatch_t50": None,
}
ONE = Range(1.0, 5.0, 9.0)
NIGHTS = {
    "one vessel": night(),
    "fahrenheit": night(unit="F"),
    "two vessels": night(vessel(), vessel("cone", 1)),
    "eight vessels": night(*(vessel(f"tray-{name}") for name in "abcdefgh")),
    "gaps": night(vessel(out=((2, 4), (15, 16)), off=((2, 4),)), outages=(Span(at_hour(2), at_hour(4)),)),
    "no vessel": night(vessels=()),
    "nothing read": night(vessel(**EMPTY)),
    "only failed readings": night(vessel(water_c=series(lambda _: None), light=series(lambda _: None))),
    "one point": night(
        vessel(
            water_c=(Point(at_hour(4), 22.0),),
            light=(Point(at_hour(4), 300.0),),
            loss_ml=(RangePoint(at_hour(4), ONE),),
            salinity_g_per_kg=(RangePoint(at_hour(4), ONE),),
            hatched_fraction=(RangePoint(at_hour(4), Range(0.1, 0.2, 0.3)),),
        )
    ),
    "no light": night(vessel(light=(), light_unit=None)),
    "light as a share": night(vessel(light_unit="fraction", light=series(lambda _: 0.4), low_light=0.1)),
    "no lamp": night(vessel(light=(), light_unit=None, lamp_hours=())),
    "no batch": night(vessel(**{**EMPTY, "batch_set_at": None})),
    "half past the edge": night(vessel(hatch_t50=TimeRange(at_hour(20), at_hour(30), None))),
    "signs of mathematics": night(
        vessel("$x_{", deeds=(Event(at_hour(3), "note", "a $5 fee \\ 海 \ud800"),))
    ),
}


def read(png):
    picture = Image.open(io.BytesIO(png))
    picture.load()
    return picture


@pytest.mark.parametrize("record", NIGHTS.values(), ids=NIGHTS.keys())
def test_any_night_makes_a_png_of_the_expected_size(record):
    picture = read(draw_night(record))
    assert picture.format == "PNG"
    assert picture.size == chart_size_px(record)
    assert picture.width == 720
    colours = picture.convert("RGB").getcolors(1 << 24)
    assert len(colours) > 5


def test_the_same_record_gives_the_same_bytes_whatever_a_user_has_set():
    first = draw_night(night())
    with mpl.rc_context({"font.size": 30.0, "axes.facecolor": "black", "lines.linewidth": 9.0}):
        assert draw_night(night()) == first


def test_the_two_units_give_two_pictures():
    assert draw_night(night()) != draw_night(night(unit="F"))


def test_who_drew_animals_off_is_drawn_no_half_to_come():
    half = TimeRange(at_hour(10), at_hour(15), at_hour(18))
    drawn, grows = (
        {draw_night(night(vessel(stage=stage, hatch_t50=at))) for at in (half, None)}
        for stage in ("being harvested", "hatching")
    )
    assert (len(drawn), len(grows)) == (1, 2)


def texts(one):
    """What a vessel's panels say."""
    found = []
    for panel_of in (salt_panel, hatch_panel, level_panel):
        axes = Figure().add_subplot()
        panel = panel_of(one, frame_of(night(one)), 100)
        panel.draw(axes)
        found.append([next(iter(panel.said), ""), *(text.get_text() for text in axes.texts)])
    return found


def test_what_letters_do_not_say_any_more_is_not_said_to_be_the_last():
    salt, hatch, level = texts(vessel(stage="harvested"))
    assert salt[0] == hatch[0] == level[0] == "not judged since most was drawn"
    bare = {"salinity_g_per_kg": (), "hatched_fraction": ()}
    salt, hatch, level = texts(vessel(stage="harvested", hatch_t50=None, **bare))
    assert "not judged since most was drawn" in salt[1:]
    assert [salt[0], hatch[0]] == ["", ""]
    ended = texts(vessel(stage="ended", batch_set_at=None, hatch_t50=None))
    assert [panel[0] for panel in ended] == ["the batch is over"] * 3


def test_an_alarm_that_stands_and_one_that_is_silenced_are_shown_alike_and_in_words():
    one = vessel(
        open_alarms=(Event(at_hour(-30), "cold", "the water is too cold"),),
        silenced=(
            SilencedAlarm("hot", "warm water", at_hour(5), at_hour(40)),
            SilencedAlarm("lamp", "lamp off in its hours", at_hour(6), None),
        ),
    )
    strip = laid_out("alarm", alarm_events(one), frame_of(night(one)), last_on=True)
    assert [label.text for label in strip.labels] == [
        "Thu 14:00 the water is too cold",
        "01:00 silenced until Sun 12:00: warm water",
        "02:00 silenced, out of service: lamp off in i…",
    ]
    assert [label.sign_px for label in strip.labels] == sorted(label.sign_px for label in strip.labels)
    assert 0.0 < strip.labels[0].sign_px < 20.0
    assert chart_size_px(night(one))[1] > chart_size_px(night(vessel(open_alarms=())))[1]


def test_each_gap_and_outage_changes_the_picture():
    read_through = night()
    gap = night(vessel(out=((15, 17),)))
    outage = night(outages=(Span(at_hour(15), at_hour(17)),))
    assert len({draw_night(record) for record in (read_through, gap, outage)}) == 3


def test_a_night_when_the_clocks_change_is_drawn():
    """Lisbon, 31 October 2027: 02:00 is 01:00 again, a night of 25 hours (IANA time zone data)."""
    began, ended = (datetime(2027, 10, day, 20, tzinfo=ZONE) for day in (30, 31))
    record = night(vessel(**{**EMPTY, "lamp_hours": ()}), span=Span(began, ended))
    frame = frame_of(record)
    assert frame.ended - frame.began == timedelta(hours=25)
    assert read(draw_night(record)).size == chart_size_px(record)


def test_lower_water_is_drawn_lower():
    axes = Figure().add_axes((0.1, 0.1, 0.8, 0.8))
    record = night()
    set_clock(axes, frame_of(record), labelled=False)
    level_panel(record.vessels[0], frame_of(record), 140).draw(axes)
    bottom, top = axes.get_ylim()
    middle = next(line.get_ydata() for line in axes.lines if len(line.get_ydata()) > 10)
    assert bottom < -record.vessels[0].low_ml < top
    assert list(middle) == [-point.range.p50 for point in record.vessels[0].loss_ml]


def test_hours_are_local_and_midnight_carries_its_date():
    axes = Figure().add_axes((0.1, 0.1, 0.8, 0.8))
    set_clock(axes, frame_of(night()), labelled=True)
    said = [label.get_text() for label in axes.get_xticklabels()]
    assert said == ["20:00", "00:00\nSat 16 Jan", "04:00", "08:00", "12:00", "16:00"]


def test_no_line_crosses_a_gap():
    points = tuple(p for p in series(lambda _: 24.0) if not at_hour(5) < p.at < at_hour(6))
    line = line_of(points, frame_of(night()), lambda value: value)
    assert [value for _, value in line].count(None) == 1
    assert facts.gaps(points, Span(BEGAN, ENDED)) == [
        (facts.moment_utc(at_hour(5)), facts.moment_utc(at_hour(6)))
    ]


def test_failed_readings_make_a_gap_as_missing_ones_do():
    points = series(lambda _: 24.0, out=((5, 6),))
    ((began, ended),) = facts.gaps(points, Span(BEGAN, ENDED))
    assert began < at_hour(5) <= began + timedelta(minutes=5)
    assert ended == at_hour(6)


def test_an_outage_is_not_said_twice_as_a_gap():
    whole, off = (at_hour(1), at_hour(6)), (at_hour(2), at_hour(4))
    assert facts.without([whole], [off]) == [(at_hour(1), at_hour(2)), (at_hour(4), at_hour(6))]
    assert facts.without([off], [whole]) == []


MOMENTS = st.floats(0.0, 24.0).map(at_hour)
EVENTS = st.lists(
    st.builds(Event, MOMENTS, st.just("note"), st.text(st.characters(codec="ascii"), max_size=60)),
    max_size=30,
)


@settings(deadline=None)
@given(EVENTS)
def test_labels_never_overlap_and_none_is_lost_without_being_counted(events):
    strip = laid_out("done", events, frame_of(night()))
    assert len(strip.labels) + len(strip.unsaid) == len(events)
    taken = {0: [(MARGIN_PX - LEFT_PX, MARGIN_PX - LEFT_PX + wide_px("done", bold=True))]}
    for label in strip.labels:
        wide = wide_px(label.text) + 12
        ends = (
            (label.sign_px, label.sign_px + wide)
            if label.words_on == "right"
            else (label.sign_px - wide, label.sign_px)
        )
        assert ends[0] >= MARGIN_PX - LEFT_PX - 1
        assert ends[1] <= WIDTH_PX - LEFT_PX + 1
        taken.setdefault(label.lane, []).append(ends)
    for lane in taken.values():
        lane.sort()
        assert all(before[1] < after[0] for before, after in pairwise(lane))


@settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
@given(any_of(NightRecord, number=st.floats(-1e4, 2e5)))
def test_no_record_breaks_the_chart(record):
    assert read(draw_night(record)).size == chart_size_px(record)


def test_nothing_but_the_chart_imports_matplotlib_or_numpy():
    code = (
        "import pkgutil, sys; import reports.letters as l, reports.state, reports.chart.child_process;"
        "[__import__(one.name) for one in pkgutil.iter_modules(l.__path__, 'reports.letters.')];"
        "sys.exit(str(sorted({'matplotlib', 'numpy', 'PIL'} & set(sys.modules))))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.stderr.strip() == "[]"
