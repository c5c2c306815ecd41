"""A record's road to the child that draws, and what is said when the child fails."""

import json
import re
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import pytest
from hypothesis import HealthCheck, given, settings

from reports.chart.child_process import DrawingError, draw_in_child
from reports.chart.night_chart import draw_night
from reports.night_json import NightJsonError, from_json, to_json
from reports.records import NightRecord
from tests.kit.report_samples import any_of, night, vessel

# It waits for something that never comes; nobody sleeps.
HANGS = (sys.executable, "-c", "import os; end, _ = os.pipe(); os.read(end, 1)")


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(any_of(NightRecord))
def test_a_record_comes_back_from_json_as_it_was(record):
    assert from_json(to_json(record)) == record


def test_local_time_stays_local_on_its_way():
    there = from_json(to_json(night()))
    assert there.span.began.tzinfo.key == "Europe/Lisbon"
    assert '"2027-01-15T20:00:00+00:00[Europe/Lisbon]"' in to_json(night())


def changed(*path_and_value):
    *path, value = path_and_value
    packed = json.loads(to_json(night()))
    inside = packed
    for step in path[:-1]:
        inside = inside[step]
    inside[path[-1]] = value
    return json.dumps(packed)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "record: found no JSON"),
        ("[]", "record: found []; allowed is dict"),
        (
            changed("vessels", 0, "cold_c", "warm"),
            "record.vessels[0].cold_c: found 'warm'; allowed is int or float",
        ),
        (changed("vessels", 0, "count", True), "record.vessels[0].count: found True; allowed is int"),
        (
            changed("span", "began", "2027-01-15T20:00:00"),
            "record.span.began: found '2027-01-15T20:00:00'; allowed is",
        ),
        (changed("span", "began", "soon"), "record.span.began: found 'soon'; allowed is"),
        (changed("wind", 3), "record: found other keys than NightRecord has: wind"),
    ],
)
def test_a_text_that_holds_no_record_is_refused_with_its_place(text, said):
    with pytest.raises(NightJsonError, match=f"^{re.escape(said)}"):
        from_json(text)


def test_the_child_draws_what_the_parent_would_from_any_folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    out = tmp_path / "2027-01-16.png"
    draw_in_child(night(), out)
    assert out.read_bytes() == draw_night(night())
    assert list(tmp_path.iterdir()) == [out]


@pytest.mark.parametrize("form", ["svg", "pdf"])
def test_the_child_draws_the_form_that_the_name_ends_with_and_always_the_same(tmp_path, form):
    out = tmp_path / f"night.{form}"
    draw_in_child(night(), out)
    assert out.read_bytes() == draw_night(night(), form), "drawn in two processes"


def test_no_date_stands_in_any_form():
    """Only the dates of the night itself: no /CreationDate (PDF), no dc:date (SVG), no tIME (PNG)."""
    assert b"tIME" not in draw_night(night())
    assert b"CreationDate" not in draw_night(night(), "pdf")
    assert b"date" not in draw_night(night(), "svg").lower()


def test_an_svg_holds_its_finding_for_those_who_cannot_see_it():
    """SVG 2, 5.8: the first `title` and `desc` of the root describe the whole picture."""
    root = ElementTree.fromstring(draw_night(night(vessel("<tray> & co")), "svg"))
    title, desc = list(root)[:2]
    assert title.tag.endswith("}title")
    assert title.text == "Room 12: Fri 15 Jan 20:00 to Sat 16 Jan 20:00"
    assert desc.tag.endswith("}desc")
    assert "<tray> & co was too cold for 2 hours 50 minutes" in desc.text
    assert root.get("role") == "img"


def test_the_child_draws_where_no_home_can_be_written(tmp_path, monkeypatch):
    monkeypatch.setenv("HOME", "/dev/null")
    monkeypatch.setenv("CACHE_DIRECTORY", str(tmp_path / "cache"))
    draw_in_child(night(), tmp_path / "night.png")
    assert (tmp_path / "night.png").stat().st_size > 0
    assert (tmp_path / "cache" / "mpl").is_dir()


def test_a_child_that_hangs_is_ended_and_the_old_chart_stays(tmp_path):
    out = tmp_path / "night.png"
    out.write_bytes(b"the chart before")
    with pytest.raises(DrawingError, match=r"took longer than 0\.2 s and was ended"):
        draw_in_child(night(), out, timeout_s=0.2, child=HANGS)
    assert out.read_bytes() == b"the chart before"


@pytest.mark.parametrize(
    ("program", "said"),
    [
        ("import sys; sys.exit('no ink left')", "the child ended with 1: no ink left"),
        ("import os, signal; os.kill(os.getpid(), signal.SIGXCPU)", "the child was ended by SIGXCPU"),
        ("import sys; sys.exit(3)", "the child ended with 3: it said nothing"),
    ],
)
def test_a_child_that_fails_gives_its_reason(tmp_path, program, said):
    with pytest.raises(DrawingError) as caught:
        draw_in_child(night(), tmp_path / "night.png", child=(sys.executable, "-c", program))
    assert caught.value.reason == said


def test_a_child_that_cannot_start_gives_its_reason(tmp_path):
    with pytest.raises(DrawingError, match="did not start"):
        draw_in_child(night(), tmp_path / "night.png", child=(str(tmp_path / "nothing here"),))


def test_a_folder_that_is_not_there_is_said_and_nothing_is_left(tmp_path):
    with pytest.raises(DrawingError, match="not written"):
        draw_in_child(night(), tmp_path / "gone" / "night.png")
    assert list(tmp_path.iterdir()) == []


def run_child(*arguments, text="", program=None):
    command = [
        sys.executable,
        *(("-c", program) if program else ("-m", "reports.chart.child_process")),
        *arguments,
    ]
    return subprocess.run(command, input=text, capture_output=True, text=True, check=False)


@pytest.mark.parametrize(
    ("arguments", "text", "said"),
    [
        ((), "", "found 0 arguments"),
        (("a", "b"), "", "found 2 arguments"),
        (("a.png",), "{", "record: found no JSON"),
        (("a.gif",), "", "found .gif; allowed are .png, .svg, .pdf"),
    ],
)
def test_wrong_use_ends_with_2_and_one_line(tmp_path, monkeypatch, arguments, text, said):
    monkeypatch.setenv("PYTHONPATH", str(Path.cwd()))
    monkeypatch.chdir(tmp_path)
    done = run_child(*arguments, text=text)
    assert done.returncode == 2
    assert said in done.stderr
    assert len(done.stderr.splitlines()) == 1
    assert list(tmp_path.iterdir()) == []


def test_the_child_limits_its_own_memory_and_time():
    code = (
        "import resource; from reports.chart import child_process; child_process.main(['night.png']);"
        "print(resource.getrlimit(resource.RLIMIT_AS)[0] <= child_process.MEMORY_BYTES,"
        " resource.getrlimit(resource.RLIMIT_CPU)[0] <= child_process.CPU_S)"
    )
    assert run_child(program=code).stdout == "True True\n"


def test_a_child_short_of_memory_says_so_and_leaves_nothing(tmp_path):
    tight = (
        "import sys; from reports.chart import child_process; child_process.MEMORY_BYTES = 90 << 20;"
        "sys.exit(child_process.main(sys.argv[1:]))"
    )
    with pytest.raises(DrawingError):
        draw_in_child(night(), tmp_path / "night.png", child=(sys.executable, "-c", tight))
    assert list(tmp_path.iterdir()) == []
