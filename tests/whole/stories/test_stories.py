"""Every shipped story keeps its promises within the budget, and the page about them tells what happens."""

import email
import re
from datetime import datetime
from email import policy

import pytest

from daemon.care.deed import Deed
from daemon.care.plausibility import questions
from daemon.play.story_file import read_story, story_names
from tests.bench.stories import row
from tests.kit.checkout import DOCS
from tests.kit.plays import Plays
from tests.kit.telling import LONG, TRUST, WEEKENDS, Telling, over_budget


def _lasts_s(name: str) -> int:
    story = read_story(name)
    return story.ends - story.begins


# The weekends and those about trust have files of their own. Long ones first: none is left for the end.
NAMES = sorted((n for n in story_names() if n not in {*WEEKENDS, *TRUST}), key=_lasts_s, reverse=True)
CASES = [pytest.param(n, marks=pytest.mark.long) if n in LONG else n for n in NAMES]
PAGE = DOCS / "explanation" / "stories.md"


@pytest.mark.parametrize("name", CASES)
def test_a_story_keeps_its_promises(told: Plays[Telling], name: str) -> None:
    assert told[name].broken == ()


@pytest.mark.parametrize("name", CASES)
def test_nobody_is_told_what_the_story_does_not_ask_for(told: Plays[Telling], name: str) -> None:
    assert [letter.subject for letter in told[name].false] == []


@pytest.mark.parametrize("name", CASES)
def test_a_story_stays_within_the_budget(told: Plays[Telling], name: str) -> None:
    assert over_budget(told[name]) == []


@pytest.mark.parametrize("name", CASES)
def test_every_letter_of_a_story_keeps_the_invariants(told: Plays[Telling], name: str) -> None:
    assert told[name].found == {}


@pytest.mark.parametrize("name", CASES)
def test_the_page_says_what_happens_now(told: Plays[Telling], name: str) -> None:
    assert row(told[name]) in PAGE.read_text(encoding="utf-8").splitlines()


def test_every_story_stands_on_the_page_with_what_it_tells() -> None:
    page = PAGE.read_text(encoding="utf-8")
    for name in story_names():
        assert f"\n| `{name}` |" in page
        assert read_story(name).tell in page


def test_every_story_promises_something_and_limits_its_letters() -> None:
    for name in NAMES:
        story = read_story(name)
        assert story.calls, name
        assert story.limits.unplanned_at_most is not None, name


@pytest.mark.long
def test_thirty_plain_days_bring_no_more_than_three_planned_letters_a_week(told: Plays[Telling]) -> None:
    month = told["thirty-days"]
    assert month.unplanned == []
    assert len(month.planned) / month.weeks <= 3.0
    assert len(month.of("nightly")) == 30


def test_a_harvest_that_nobody_closed_is_asked_about_and_no_water_asked_for(told: Plays[Telling]) -> None:
    rows = told["cone-harvested"].left.rows("SELECT kind, message FROM letter ORDER BY number")
    letters = [(kind, _plain_text(message)) for kind, message in rows]
    over = re.compile(r"Is the batch over\?|whether the batch in .+? is over")
    asked = [kind for kind, text in letters if over.search(text)]
    assert asked == ["leave", "nightly", "nightly", "nightly", "return"]
    assert not [kind for kind, text in letters if "plain water, and" in text or "pour plain water" in text]


@pytest.mark.long
def test_a_probe_that_stays_unplugged_stands_in_every_planned_letter(told: Plays[Telling]) -> None:
    rows = told["probe-unplugged-days"].left.rows("SELECT kind, message FROM letter ORDER BY number")
    letters = [(kind, _plain_text(message)) for kind, message in rows if message is not None]
    told = re.compile("the probe tray-water gives nothing to believe|see to the probe in tray")
    named = [kind for kind, text in letters if told.search(text)]
    assert named == ["nightly", "leave", "nightly", "nightly", "nightly", "return", "nightly"]


def _plain_text(message: bytes) -> str:
    body = email.message_from_bytes(message, policy=policy.default).get_body(("plain",))
    assert body is not None
    return " ".join(body.get_content().split())


def test_all_cups_that_grow_cold_share_a_letter(told: Plays[Telling]) -> None:
    (letter,) = told["all-cold"].of("cold")
    assert "2 vessels" in letter.subject


def test_a_wrong_day_is_asked_about_when_it_is_told(told: Plays[Telling]) -> None:
    story = told["wrong-start"]
    (at, recorded_at) = next((a, r) for a, r, deed in story.deeds if deed == "set")
    entry = Deed(at, "tray", "set", 0.05)
    (question,) = questions(entry, recorded_at, (), story.story.station.timezone)
    assert question.endswith("24 hours ago. Is the day right?")


@pytest.mark.long
def test_the_heat_is_foreseen_before_it_is_measured(told: Plays[Telling]) -> None:
    first, second = told["sunny-window"].of("hot")
    assert first.subject.startswith("Hot today")
    assert second.subject.startswith("Hot: 33")
    assert second.at - first.at > 3600


@pytest.mark.long
def test_nobody_is_told_anything_over_half_term_but_what_comes_every_night(told: Plays[Telling]) -> None:
    story = told["half-term"]
    zone = story.story.station.timezone
    left, back = (
        int(datetime(2027, 2, day, hour, tzinfo=zone).timestamp()) for day, hour in ((12, 16), (22, 7))
    )
    assert {letter.kind for letter in story.letters if left < letter.at < back} == {"nightly"}
