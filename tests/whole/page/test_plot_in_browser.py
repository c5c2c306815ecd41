"""A vessel's chart in a real browser, served as strictly as the page: it answers fingers, pointers and keys.

Skipped, with the reason, where chromium or the extra `browser` is missing.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from typing import Any

import pytest

from reports.page.plot.answers import quantities
from reports.page.plot.span import plot_span
from reports.page.plot.steps import moments, step_of
from reports.records import NightRecord
from tests.kit import plot_samples
from tests.kit.browser import browser, found_by_axe, missing
from tests.kit.plot_page import page_with, served

pytestmark = [pytest.mark.long, pytest.mark.skipif(bool(missing()), reason=missing())]

DAY, WEEKEND, MONTHS = plot_samples.a_day(), plot_samples.weekend(), plot_samples.two_months()
# Letters on a phone are at least so high: the brief's bound.
LEAST_LETTER_PX = 11.0


@pytest.fixture(scope="module")
def chromium() -> Iterator[Any]:
    with browser() as started:
        yield started


@contextmanager
def shown(
    chromium: Any, *records: NightRecord, wide_px: int = 375, scheme: str = "light", **told: Any
) -> Iterator[Any]:
    """The charts in a window; what the browser complained of must be nothing."""
    with served(page_with(*records)) as address:
        context = chromium.new_context(
            viewport={"width": wide_px, "height": 800}, color_scheme=scheme, **told
        )
        try:
            page = context.new_page()
            complaints: list[str] = []
            page.on("console", lambda message: complaints.append(message.text))
            page.on("pageerror", lambda error: complaints.append(str(error)))
            page.goto(address)
            yield page
            assert [one for one in complaints if "favicon" not in one] == []
        finally:
            context.close()


def expected(record: NightRecord) -> list[str]:
    """What the chart must say at each of its steps, but for what was done and was wrong then."""
    (one,), span = record.vessels, plot_span(record, now=True)
    told, step = quantities(one, record.room_air[0].air_c, span), step_of(span)
    return [
        "; ".join(f"{each.name} {text}" for each in told if (text := each.at(at, step)))
        for at in moments(span, step)
    ]


def answer(page: Any) -> str:
    return str(page.locator(".plot-answer").first.inner_text())


def test_every_step_by_key_says_what_was_so_then(chromium: Any) -> None:
    """From the last step back to the first: each answer is the one that Python gives, five minutes apart."""
    with shown(chromium, DAY) as page:
        slider = page.locator("input[type=range]")
        slider.focus()
        said = []
        for _ in moments(plot_span(DAY, now=True), step_of(plot_span(DAY, now=True))):
            said.append(answer(page))
            assert slider.get_attribute("aria-valuetext") == said[-1]
            page.keyboard.press("ArrowLeft")
    told = [one.partition(": ")[2] for one in reversed(said)]
    assert all(text.startswith(want) for text, want in zip(told, expected(DAY), strict=True))
    times = [one.partition(": ")[0] for one in reversed(said)]
    assert (times[0], times[1], times[-1]) == ("Fri 20:00", "Fri 20:05", "Sat 20:00")
    assert any(text.endswith("the water was too cold") for text in told)


def test_home_and_end_reach_the_ends(chromium: Any) -> None:
    with shown(chromium, WEEKEND) as page:
        page.locator("input[type=range]").focus()
        page.keyboard.press("Home")
        assert answer(page).startswith("Fri 16:00: ")
        page.keyboard.press("End")
        assert answer(page).startswith("Mon 16:00: ")


def test_the_last_answer_is_of_the_end_also_between_two_steps(chromium: Any) -> None:
    record = plot_samples.of_days(1, datetime(2027, 1, 15, 20, 3, tzinfo=plot_samples.ZONE))
    with shown(chromium, record) as page:
        slider = page.locator("input[type=range]")
        slider.focus()
        page.keyboard.press("End")
        assert answer(page).startswith("Sat 20:03: ")
        page.keyboard.press("ArrowLeft")
        assert answer(page).startswith("Sat 20:00: ")


def test_a_pointer_moves_the_line_in_every_panel_to_where_it_is(chromium: Any) -> None:
    with shown(chromium, DAY, wide_px=1280) as page:
        field = page.locator("[role=img] .plot-field").first
        box = field.bounding_box()
        page.mouse.move(
            box["x"] + box["width"] * 12 / 40, box["y"] + 20
        )  # 24 h and 16 h ahead: 12 h after 20:00
        assert answer(page).startswith("Sat 08:00: ")
        lines = page.locator("line.cursor").evaluate_all(
            "found => found.map(one => one.getBoundingClientRect().x)"
        )
        assert len(lines) == page.locator("[role=img] .plot-field").count() >= 6
        assert all(abs(x - (box["x"] + box["width"] * 12 / 40)) <= 1.5 for x in lines)
        page.mouse.move(box["x"] + box["width"] * 0.95, box["y"] + 20)
        assert answer(page).startswith("Sat 20:00: "), "of what is to come nothing was read: the last is said"


def test_a_finger_moves_it_and_a_listener_is_told_once_it_rests(chromium: Any) -> None:
    with shown(chromium, DAY, has_touch=True, is_mobile=True) as page:
        box = page.locator("[role=img] .plot-field").first.bounding_box()
        page.touchscreen.tap(box["x"] + box["width"] * 6 / 40, box["y"] + 30)
        assert answer(page).startswith("Sat 02:00: ")
        status = page.locator("[role=status]")
        assert status.inner_text() == ""
        status.filter(has_text="Sat").wait_for(state="attached")
        assert status.inner_text() == answer(page)


def test_a_deed_is_named_at_its_moment(chromium: Any) -> None:
    with shown(chromium, MONTHS) as page:
        page.locator("input[type=range]").focus()
        page.keyboard.press("Home")
        said = []
        for _ in range(12):
            page.keyboard.press("ArrowRight")
            said.append(answer(page))
        assert any(one.endswith("; poured in 24 mL of water") for one in said)
        assert said[0].startswith("Tue 16 Feb 00:00: ") or said[0].startswith("Mon 15 Feb 12:00: ")


@pytest.mark.parametrize("record", [plot_samples.into_summer_time(), plot_samples.into_winter_time()])
def test_the_time_said_is_the_local_one_also_when_the_clocks_change(
    chromium: Any, record: NightRecord
) -> None:
    span = plot_span(record, now=True)
    asked = moments(span, step_of(span))
    with shown(chromium, record) as page:
        slider = page.locator("input[type=range]")
        slider.focus()
        page.keyboard.press("Home")
        for at in asked:
            assert answer(page).startswith(f"{at:%a %H:%M}: ")
            page.keyboard.press("ArrowRight")


@pytest.mark.parametrize("wide_px", [320, 1280])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_and_nothing_is_wider_than_the_window(
    chromium: Any, wide_px: int, scheme: str
) -> None:
    with shown(chromium, DAY, WEEKEND, MONTHS, wide_px=wide_px, scheme=scheme) as page:
        page.locator("details").evaluate_all("found => found.forEach(one => { one.open = true; })")
        assert page.evaluate("document.documentElement.scrollWidth") <= wide_px
        assert found_by_axe(page) == []


@pytest.mark.parametrize("wide_px", [320, 719, 720, 1280])
def test_words_have_their_size_at_every_width_and_none_runs_into_another(chromium: Any, wide_px: int) -> None:
    with shown(chromium, DAY, WEEKEND, MONTHS, wide_px=wide_px) as page:
        texts = page.locator(".plot text").evaluate_all(
            """found => found.filter(one => one.getClientRects().length).map(one => {
                const box = one.getBoundingClientRect();
                const size = parseFloat(getComputedStyle(one).fontSize);
                return [size, box.left, box.right];
            })"""
        )
        assert min(size for size, _, _ in texts) >= LEAST_LETTER_PX
        assert all(left >= -1 and right <= wide_px + 1 for _, left, right in texts)
        clocks = page.locator(".plot > .plot-row").evaluate_all(
            """found => found.map(row => [...row.querySelectorAll(".plot-field text")]
                .filter(one => one.getClientRects().length)
                .map(one => one.getBoundingClientRect()).map(box => [box.top, box.left, box.right]))"""
        )
        for row in clocks:
            for before, after in zip(sorted(row), sorted(row)[1:], strict=False):
                assert before[0] != after[0] or before[2] + 2 <= after[1]


def test_without_a_script_the_chart_and_its_table_are_there_and_nothing_that_does_nothing(
    chromium: Any,
) -> None:
    with shown(chromium, DAY, java_script_enabled=False) as page:
        assert page.locator(".plot-field").count() >= 6
        assert not page.locator("input[type=range]").is_visible()
        page.locator("summary").click()
        rows = page.locator("table tr").all_inner_texts()
        assert len(rows) == 26
        assert rows[1].split("\t")[:2] == [
            "20:00",
            expected(DAY)[0].partition("; ")[0].removeprefix("Water "),
        ]
