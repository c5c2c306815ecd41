"""Wherever brine is due in the place of plain water, every word of the station asks for brine.

A story of three vessels out of which salt water is taken at three stages: page, form, week, letters, `now`.
"""

import re
from collections.abc import Iterator
from datetime import datetime
from html import unescape
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from daemon.hours import local_day
from daemon.page.deeds.alone import alone
from daemon.page.deeds.likely import likely
from daemon.page.glance import glancing
from daemon.page.site import make_site
from daemon.page.to_do import tasks_of
from daemon.page.week import week_from
from daemon.post.message import words_of
from daemon.store import letters as letter_store
from reports.letters.pouring import takes_brine
from reports.page.doing.choices import CHOICES, buttons, meant
from reports.page.paper.week import BRINE, FILL
from tests.kit.command_line import naupliad
from tests.kit.undrawn import undrawn

BERLIN = ZoneInfo("Europe/Berlin")
# When some was taken out, by vessel, in January 2027; all were set on Monday the 11th.
TAKEN = {
    "early": ("11T12:00", "remove"),
    "third": ("13T10:00", "remove"),
    "cup": ("15T11:00", "harvest"),
}
_STATION = """
[story]
title = "Brine"
tell = "Some is drawn off."
seed = 7
begins = 2027-01-11T08:00:00+01:00
ends = 2027-01-15T13:15:00+01:00
[station]
text = '''
[station]
name = "Room 9"
timezone = "Europe/Berlin"
attended = ["Mon-Fri 07:30-15:30"]
sample_every_s = 1800
"""
_VESSEL = """
[[probe]]
id = "{vessel}-water"
measures = "water_c"
driver = "rehearsal"
[[vessel]]
id = "{vessel}"
mark_ml = 250.0
surface_cm2 = 38.5
low_ml = 40.0
brim_ml = 30.0
probes = ["{vessel}-water"]
cold_c = 18.0
hot_c = 30.0
lamp = ["18:00-07:00"]
"""


def _event(vessel: str, at: str, do: str, **values: float | str) -> str:
    keys = "".join(f"{key} = {value!r}\n" for key, value in values.items())
    return f'[[event]]\nat = 2027-01-{at}:00+01:00\nvessel = "{vessel}"\ndo = "{do}"\n{keys}'


@pytest.fixture(scope="module")
def played(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("story")
    events = [
        *(_event(one, "11T10:00", "set", grams=0.05, salt_g_per_l=25, lot="spring") for one in TAKEN),
        *(_event(one, f"{day}T09:00", "look") for day in (12, 13, 14) for one in TAKEN),
        *(_event(one, at, do, ml=100) for one, (at, do) in TAKEN.items()),
    ]
    text = _STATION + "".join(_VESSEL.format(vessel=one) for one in TAKEN)
    events.sort(key=lambda event: event.splitlines()[1])
    story = text + "'''\n[room]\nday_c = 20.5\n" + "".join(events)
    (folder / "story.toml").write_text(story, encoding="utf-8")
    with undrawn():
        said = naupliad("rehearse", folder / "story.toml", "--out", folder / "out")
    assert said.code == 0, said.err
    return folder / "out"


def moment(clock: str) -> int:
    return int(datetime.fromisoformat(f"2027-01-{clock}").replace(tzinfo=BERLIN).timestamp())


def words(html: str) -> str:
    return " ".join(unescape(re.sub(r"<svg.*?</svg>|<[^>]+>", " ", html, flags=re.DOTALL)).split())


@pytest.mark.parametrize("one", TAKEN)
def test_page_form_and_sheet_ask_for_brine_at_each_stage(played: Path, one: str) -> None:
    at = moment(TAKEN[one][0]) + 600
    with glancing(played, lambda _state, _connection: at) as glance:
        (night,) = (vessel for vessel in glance.record.vessels if vessel.vessel == one)
        assert takes_brine(night), night.stage
        _, _, found = tasks_of(glance)
        sheets = week_from(glance, local_day(at, BERLIN)).vessels
        values = likely(alone(glance, one), meant(CHOICES["fill"], night))
        shown = [key for key, _ in buttons(glance.setting, night).likely]
    (sheet,) = (vessel for vessel in sheets if vessel.vessel == one)
    assert BRINE in (sheet.boxes[0] or ())
    assert not any(FILL in (boxes or ()) for boxes in sheet.boxes[:1])
    mine = [task for task in found if one in task.about]
    assert any("brine" in task.what for task in mine)
    assert any(re.search(r"1[0-4]\d mL .*of brine", step) for task in mine for step in task.steps)
    assert not any("of plain water into" in step for task in mine for step in task.steps)
    with make_site(played, moment=lambda _state, _connection: at).test_client() as browser:
        paper = words(browser.get("/paper/week").text)
        assert re.search(rf"{one}, today: Fill: 1[0-4]\d mL .*of brine .* g of your salt stirred into", paper)
        asked = browser.get(f"/do/{one}/fill?when=now")
        assert asked.location == f"/do/{one}/refill?when=now"
    assert float(values["amount"]) == pytest.approx(night.brine.ml if night.brine else 0.0, abs=0.5)
    assert values["salt_g_per_l"] == "25"
    assert shown[0] == "refill"


def test_the_letters_say_how_much_was_drawn_off_and_ask_for_brine(played: Path) -> None:
    told = dict(_letters(played, "water"))
    assert told
    for text in told.values():
        assert "brine" in text
        assert re.search(r"Drawn off:? 100 mL|Drawn off 100 mL", text), text
        assert "most of it" not in text
        assert "naupliad care add cup top-up" not in text


def test_now_asks_for_brine(played: Path) -> None:
    said = naupliad("now", "--state", played).out
    assert "brine" in said
    assert "plain water" not in said.replace("not plain water", "").replace("of plain water", "")


def _letters(state: Path, kind: str) -> Iterator[tuple[int, str]]:
    with glancing(state, lambda _state, _connection: moment("15T13:15")) as glance:
        for row in letter_store.written_between(glance.connection, 0, glance.at):
            message = letter_store.kept_message(glance.connection, row.id)
            if row.kind == kind and message is not None:
                yield row.id, " ".join(words_of(message).text.split())
