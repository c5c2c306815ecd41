"""A vessel's chart as it stands in the page: its panels, its hatches, safe in a strict page, how large."""

import re
from dataclasses import replace
from html.parser import HTMLParser

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reports.page.plot.figure import vessel_plot
from reports.records import Event, NightRecord, PastAlarm, Point, Range, RangePoint, SilencedAlarm, Span
from tests.kit import plot_samples
from tests.kit.report_samples import at_hour, believed, night, vessel

SAMPLES = [plot_samples.a_day, plot_samples.weekend, plot_samples.two_months]
SAMPLES += [plot_samples.into_summer_time, plot_samples.into_winter_time]
# A day at most 25 kB, two months at most 40 kB, with all that it answers: our own bounds.
MOST_BYTES = {plot_samples.a_day: 25_000, plot_samples.weekend: 35_000, plot_samples.two_months: 40_000}
PANELS = [
    "Water, °C",
    "Light, lux",
    "Water level, mL from the mark",
    "Salt, g in a kg of brine",
    "Hatched, %",
]


def plot(record: NightRecord, *, now: bool = False) -> str:
    return vessel_plot(record, record.vessels[0].vessel, "chart", now=now)


def panels(html: str) -> list[str]:
    return re.findall(r'<p class="plot-name"><b>(.*?)</b>', html.partition("<details>")[0])


class Tags(HTMLParser):
    """Every start tag with its attributes, and what is still open at the end."""

    OMITTED = frozenset({"tr", "th", "td"})
    VOID = frozenset({"input", "line", "rect", "path"})

    def __init__(self, html: str) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.open: list[str] = []
        self.feed(html)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))
        if tag not in self.VOID | self.OMITTED:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


@pytest.mark.parametrize("sample", SAMPLES)
def test_there_is_a_panel_for_each_quantity_with_data(sample) -> None:
    assert panels(plot(sample(), now=True)) == [*PANELS, "What was done, and alarms"]


def test_what_has_no_data_has_no_panel() -> None:
    bare = vessel(
        water_c=(), light=(), light_unit=None, loss_ml=(), salinity_g_per_kg=(), hatched_fraction=(), deeds=()
    )
    html = plot(night(bare))
    assert panels(html) == ["Water, °C"]
    assert "no readings of the water" in html
    assert "<table>" not in html


def test_one_reading_is_drawn_and_answered() -> None:
    html = plot(night(vessel(water_c=(Point(at_hour(5), 21.0),), light=(), light_unit=None)))
    assert re.search(r'<path d="M\d+ \d+h0" class="line warmth"/>', html)
    assert "21.0 °C" in html


@pytest.mark.parametrize("sample", SAMPLES)
def test_a_chart_stands_in_a_strict_page(sample) -> None:
    """No style, no script that runs, no handler, nothing from elsewhere (CSP 3: default-src 'none')."""
    tags = Tags(plot(sample(), now=True))
    assert tags.open == []
    for tag, attributes in tags.found:
        assert not {name for name in attributes if name == "style" or name.startswith("on")}
        assert not {"src", "href", "xlink:href"} & attributes.keys()
        assert tag not in ("style", "iframe", "img")
        assert tag != "script" or attributes == {"type": "application/json"}
    ids = [attributes["id"] for _, attributes in tags.found if "id" in attributes]
    assert len(ids) == len(set(ids))
    assert all(one is not None and one.startswith("chart") for one in ids)


def test_two_charts_share_no_id() -> None:
    record = night(vessel("tray-a"), vessel("cone"))
    ids = [set(re.findall(r' id="(.*?)"', vessel_plot(record, name, name))) for name in ("tray-a", "cone")]
    assert not ids[0] & ids[1]


def test_names_and_notes_that_are_markup_are_words() -> None:
    evil = "<script>alert(1)</script>\"'&"
    one = vessel(
        evil,
        deeds=(Event(at_hour(3), "note", evil),),
        open_alarms=(Event(at_hour(4), "cold", evil),),
        past_alarms=(PastAlarm("hot", evil, Span(at_hour(1), at_hour(2))),),
        silenced=(SilencedAlarm("lamp", evil, at_hour(2), None),),
    )
    html = plot(night(one))
    assert html.count("<script") == 1
    assert "alert(1)" in html
    assert Tags(html).open == []


@pytest.mark.parametrize("sample", MOST_BYTES)
def test_a_chart_is_small(sample) -> None:
    assert len(plot(sample(), now=True).encode()) <= MOST_BYTES[sample]


def test_a_gap_is_hatched_and_an_outage_otherwise() -> None:
    gap = plot(night(vessel(out=[(5.0, 8.0)])))
    assert len(re.findall(r'fill="url\(#chart-gap\)"', gap)) == 2, "water and light"
    assert "url(#chart-off)" not in gap
    off = replace(night(vessel(out=[(5.0, 8.0)])), outages=(Span(at_hour(5), at_hour(8)),))
    html = plot(off)
    assert len(re.findall(r'fill="url\(#chart-off\)"', html)) == 5, "every panel"
    assert "url(#chart-gap)" not in html, "that it was off says all"
    boxes = re.findall(r'<rect x="([\d.]+)%" y="0" width="([\d.]+)%"[^>]*chart-off', html)
    assert {(float(x), float(wide)) for x, wide in boxes} == {(20.83, 12.5)}, "5 of 24 hours, 3 of 24 hours"
    assert "The station was off for 3 h." in html


def test_what_is_to_come_is_drawn_of_the_present_only() -> None:
    record = plot_samples.a_day()
    now, past = plot(record, now=True), plot(record)
    assert "next 16 h: most likely 20.6 to 24.0" in now
    assert now.count('class="ahead cold"') == 1
    assert 'class="now"' in now
    for word in ("next 16 h", 'class="ahead', 'class="now"'):
        assert word not in past


def test_fahrenheit_is_used_throughout() -> None:
    html = plot(replace(plot_samples.a_day(), unit="F"), now=True)
    assert "°C" not in html
    assert "Water, °F" in html
    assert "hot above 86.0" in html, "30 °C"
    assert "cold below 68.0" in html, "20 °C"


def test_german_is_spoken_where_the_record_does() -> None:
    html = plot(replace(plot_samples.a_day(), language="de"))
    assert "Wasserstand, mL ab Füllmarke" in html
    assert "Geschlüpft, %" in html
    assert "23,4 °C" in html


def test_a_wide_window_has_more_hours_than_a_phone() -> None:
    html = plot(plot_samples.a_day())
    row = re.findall(r'<text x="[^"]+" y="12"( class="[nw]")? text-anchor="middle">(\d\d:00)', html)
    narrow = [label for only, label in row if "w" not in only]
    wide = [label for only, label in row if "n" not in only]
    assert len(narrow) < len(wide)


def test_alarms_that_stand_together_have_a_row_each() -> None:
    at_once = (
        PastAlarm("cold", "the water was too cold", Span(at_hour(1), at_hour(9))),
        PastAlarm("lamp", "the lamp was off in its hours", Span(at_hour(5), at_hour(8))),
        PastAlarm("cold", "the water was too cold", Span(at_hour(9), at_hour(11))),
    )
    html = plot(night(vessel(past_alarms=at_once)))
    rows = html.split('<div class="plot-row">')
    assert sum('class="alarm"' in row for row in rows) == 2
    listed = re.findall(r'<li data-at="\d+" data-to="\d+">(.*?) <span>', html)
    assert listed == ["21:00 to 05:00", "01:00 to 04:00", "05:00 to 07:00"]


def test_each_deed_stands_once_in_the_row_of_its_sort_and_in_words() -> None:
    html = plot(night(vessel()))
    strip = html.partition("What was done")[2].partition("<details>")[0]
    assert re.findall(r'class="plot-gutter".*?>([a-z]+)</text>', strip) == ["water", "care", "looks"]
    assert strip.count('class="mark"') == 3
    listed = re.findall(r"<li data-at=\"(\d+)\">(.*?) <span>(.*?)</span>", html)
    assert [text for *_, text in listed] == ["top-up, 21 mL to the mark", "stirred", "first swimmer seen"]
    assert [int(at) for at, *_ in listed] == [
        int(one.at.timestamp()) for one in night(vessel()).vessels[0].deeds
    ]


def test_water_that_was_drawn_off_ends_the_level_and_says_why() -> None:
    levels = tuple(
        replace(point, range=believed(10.0 if n < 24 else 400.0, 2.0))
        for n, point in enumerate(vessel().loss_ml)
    )
    harvest = Event(at_hour(11.9), "harvest", "drew off 390 mL")
    html = plot(night(vessel(stage="harvested", loss_ml=levels, deeds=(harvest,))))
    assert "not judged since most was drawn" in html
    assert "drawn off 07:54" in html


def test_a_vessel_that_is_not_there_is_refused() -> None:
    with pytest.raises(KeyError):
        vessel_plot(night(), "nobody", "chart")


NUMBERS = st.floats(-1e4, 2e5) | st.sampled_from([float("nan"), float("inf"), float("-inf")])
SERIES = st.lists(st.tuples(NUMBERS, NUMBERS, NUMBERS), max_size=6)


@given(st.lists(NUMBERS, max_size=6), SERIES, st.booleans())
def test_any_values_make_a_whole_figure(read: list[float], told: list[tuple[float, ...]], now: bool) -> None:
    """Also values that are none: they are left out, not drawn as something."""
    points = tuple(Point(at_hour(n), value) for n, value in enumerate(read))
    band = tuple(RangePoint(at_hour(n), Range(*sorted(ends))) for n, ends in enumerate(told))
    one = vessel(
        water_c=points, light=points, loss_ml=band, salinity_g_per_kg=band, hatched_fraction=band, deeds=()
    )
    html = plot(night(one), now=now)
    assert Tags(html).open == []
    assert not re.search(r'="[^"]*\b(nan|inf)\b', html)
