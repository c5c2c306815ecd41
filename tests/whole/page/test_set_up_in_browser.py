"""From a machine that was never set up to a good reading and a sample letter, in a real browser.

Skipped, with the reason, where chromium or the extra `browser` is missing.
"""

from pathlib import Path

import pytest

from daemon.config import read_station
from tests.kit.browser import browser, found_by_axe, missing
from tests.kit.command_line import until
from tests.kit.mail_server import SECRET
from tests.kit.new_station import USER, new_station
from tests.kit.teachers_path import walk

pytestmark = [pytest.mark.long, pytest.mark.skipif(bool(missing()), reason=missing())]


@pytest.mark.parametrize("script", [True, False])
def test_a_teacher_gets_from_nothing_to_a_reading_and_a_letter_without_leaving_the_page(
    tmp_path: Path, script: bool
) -> None:
    faults: list[str] = []
    with new_station(tmp_path) as station, browser() as chromium:
        phone = {"viewport": {"width": 360, "height": 800}, "java_script_enabled": script}
        page = chromium.new_context(**phone).new_page()

        def seen(step: str) -> None:
            if script:  # by which alone a page can be judged
                wide_px = page.evaluate("document.documentElement.scrollWidth")
                faults.extend(f"{step}: {one}" for one in found_by_axe(page))
                faults.extend([f"{step}: {wide_px} px wide"] if wide_px > 360 else [])

        walk(page, station, seen, script=script)
        written = read_station(station.file)
        until("a good reading of each", lambda: len(station.daemon.rows(_GOOD)) == 2)
        sampled = station.post.taken
        assert station.post.logins == [(USER, SECRET)]
        assert SECRET not in station.file.read_text(encoding="utf-8")
    assert faults == []
    assert [vessel.id for vessel in written.vessels] == ["otter"]
    assert {probe.id: probe.keys.get("offset_c") for probe in written.probes} == {"water": -0.5, "air": None}
    assert [to for _, to, _ in sampled] == [["teacher@school.example"]]


_GOOD = "SELECT DISTINCT probe FROM reading WHERE quality = 'good'"
