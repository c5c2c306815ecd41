"""Every view at 200 % zoom, at 320 px and by keyboard alone, in a real browser: one walk over all of them.

WCAG 2.2: 1.4.4 (resize text), 1.4.10 (reflow at 320 px), 2.1.1 (keyboard), 2.4.3 (focus order), 2.4.7
(focus visible), 2.4.11 (focus not hidden). Skipped, with the reason, where chromium or the extra `browser`
is missing.
"""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from daemon.page.first_plan import PAGE_FIRST
from daemon.page.site import make_site
from tests.kit.browser import browser, missing
from tests.kit.page_station import NIGHTS, PIN, cold_room, four_nights, served
from tests.kit.setting_up import SetUp
from tests.kit.undrawn import undrawn

pytestmark = [pytest.mark.long, pytest.mark.skipif(bool(missing()), reason=missing())]

# Wide px, scale: a phone; a window of 1280 px at 200 %, which then has half as many.
WINDOWS = ((320, 1), (640, 2))
MOST_TABS = 300
OPEN = (
    *(
        "/",
        "/today",
        "/class",
        "/vessel/jar",
        "/vessel/jar?span=weekend",
        "/vessel/jar?span=batch",
        "/why/jar",
    ),
    *(
        "/station",
        "/take-away",
        "/paper",
        "/plan",
        "/plan/dose",
        "/plan/cone",
        "/plan/cone?daily_at=12:00&water_c=24",
        "/plan/dose?vessels=28&volume_ml=200&way=animals&amount=60",
        "/plan/start",
        "/plan/start?day=2027-03-10&from=10:00&to=11:30&water=22",
        "/plan/tin",
        "/plan/tins",
        "/plan/wrap-up",
        "/plan/wrap-up/jar",
        "/plan/tin?put=50&hatched=20&hours=20&water=20",
        "/plan/experiment",
        "/plan/experiment?factor=salt&levels=10;25;40&cups=4&of=50&near=window&seed=7",
        "/plan/cups",
        "/plan/cups?levels=3&cups=4&of=50&share=80&difference=20",
        "/plan/spoonfuls",
        "/plan/spoonfuls?counts=12+15+9&ml=5&volume_ml=200",
        "/paper/labels",
        "/paper/week",
        "/paper/count",
        "/paper/dose",
        "/paper/experiment",
        "/pin",
    ),
    "/no-such-view",
)
SIGNED = (
    *(
        "/do/jar",
        "/do/jar/fill",
        "/do/jar/salt",
        "/do/jar/note",
        "/deed/1",
        "/done/1",
        "/station",
        "/take-away",
        "/plan/tin?put=50&hatched=20&hours=20&water=20",
    ),
)
SETTING_UP = tuple(f"/set-up{step}" for step in ("", "/room", "/probes", "/vessels/1", "/letters", "/keep"))
PAST = ("/nights", f"/night/{NIGHTS[2]}", "/letter/1")

# What is wider than it is shown, and what of it cannot be scrolled to.
CLIPPED = """() => {
  const page = document.documentElement, found = [];
  if (page.scrollWidth > innerWidth) found.push(`${page.scrollWidth} px wide`);
  for (const one of document.body.querySelectorAll("*")) {
    const style = getComputedStyle(one);
    if (one.closest("svg, .unseen, .skip") || !one.checkVisibility() || !one.textContent.trim()) continue;
    if (["hidden", "clip"].includes(style.overflowX) && one.scrollWidth > one.clientWidth + 1)
      found.push("clipped: " + one.outerHTML.slice(0, 120));
  }
  return found;
}"""
# Where Tab has to go, in the order of the page; of a group of radio buttons to the chosen one alone.
STOPS = """() => {
  const all = "a[href], button, input:not([type=hidden]), select, textarea, summary, [tabindex='0']";
  const chosen = one => one.type !== "radio" || one.checked ||
    (!document.querySelector(`input[name="${one.name}"]:checked`) &&
      document.querySelector(`input[name="${one.name}"]`) === one);
  window.stops = [...document.querySelectorAll(all)].filter(
    one => !one.disabled && one.checkVisibility({checkVisibilityCSS: true}) && chosen(one) &&
    one.tabIndex >= 0);
  return window.stops.map(one => one.outerHTML.slice(0, 100));
}"""
# Where it is, whether that is marked, and whether any of it can be seen.
FOCUS = """() => {
  const one = document.activeElement, style = getComputedStyle(one), box = one.getBoundingClientRect();
  const outlined = style.outlineStyle !== "none" && parseFloat(style.outlineWidth) > 0;
  const marked = outlined || style.boxShadow !== "none";
  const seen = box.bottom > 0 && box.top < innerHeight && box.right > 0 && box.left < innerWidth;
  return [window.stops.indexOf(one), marked, seen];
}"""


def faults(page: Any, path: str) -> Iterator[str]:
    """What is wrong with the view that is shown."""
    yield from (f"{path}: {one}" for one in page.evaluate(CLIPPED))
    stops = page.evaluate(STOPS)
    went: list[int] = []
    for _ in range(MOST_TABS):
        page.keyboard.press("Tab")
        place, marked, seen = page.evaluate(FOCUS)
        if place < 0:  # out of the page, into the browser's own
            break
        if went and place == went[-1]:  # the parts of a date and time are stops of their own
            continue
        if place in went:
            break
        went.append(place)
        if not (marked and seen):
            yield f"{path}: focus {'out of sight' if marked else 'unmarked'}: {stops[place]}"
    if went != list(range(len(stops))):
        missed = [stops[n] for n in range(len(stops)) if n not in went]
        yield f"{path}: Tab went to {went} of {len(stops)}; never to {missed}"


def walked(chromium: Any, address: str, paths: tuple[str, ...], pin: str = "") -> list[str]:
    """What is wrong at any of these addresses, in any window; with a `pin` for who has signed in."""
    found = []
    for wide_px, scale in WINDOWS:
        size = {"width": wide_px, "height": 700}
        context = chromium.new_context(viewport=size, device_scale_factor=scale, reduced_motion="reduce")
        page = context.new_page()
        if pin:
            page.goto(f"{address}/pin")
            page.get_by_label("PIN").fill(pin)
            page.keyboard.press("Enter")
            page.wait_for_url(f"{address}/")
        for path in paths:
            status = page.goto(address + path).status
            found += [f"{path}: status {status}"] if status >= 500 else []
            found += [f"{wide_px} px: {one}" for one in faults(page, path)]
        context.close()
    return found


def test_every_view_fits_at_twice_the_size_and_is_reached_by_tab(tmp_path: Path) -> None:
    (tmp_path / "room").mkdir()
    with cold_room(tmp_path / "room", "cup-1", "cup-2", "jar") as room:
        room.desks.tell("set", 0.05, vessel="jar", lot="spring")

        def looked() -> list[str]:
            with served(room.site()) as address, browser() as chromium:
                return [*walked(chromium, address, OPEN), *walked(chromium, address, SIGNED, PIN)]

        assert room.while_it_answers(looked) == []


def test_so_does_every_step_of_the_set_up(tmp_path: Path) -> None:
    set_up = SetUp(tmp_path, {PAGE_FIRST: "loopback"})
    try:
        with served(make_site(set_up.state, environ=set_up.environ)) as address, browser() as chromium:
            assert walked(chromium, address, SETTING_UP, PIN) == []
    finally:
        set_up.close()


def test_so_does_every_view_of_what_is_past(tmp_path: Path) -> None:
    with undrawn():
        state = four_nights(tmp_path / "nights")
    with served(make_site(state)) as address, browser() as chromium:
        assert walked(chromium, address, PAST) == []


def test_what_would_be_wrong_is_seen() -> None:
    with browser() as chromium:
        page = chromium.new_page(viewport={"width": 320, "height": 700})
        page.set_content(
            "<p style='width:900px'>wide</p>"
            "<p style='overflow:hidden;width:9px;white-space:nowrap'>cut off</p>"
            "<button style='outline:none'>second</button><a href='#' tabindex='2'>first</a>"
        )
        said = "\n".join(faults(page, "here"))
    assert all(one in said for one in ("px wide", "clipped", "unmarked", "Tab went to"))
