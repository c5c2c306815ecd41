"""A kind of letter is known wherever one is asked for: written, waited for, listed, hoped for in a story."""

import re
from pathlib import Path

import pytest

from daemon.alarms.conditions import CONDITIONS, OF_THE_STATION
from daemon.assembly import assemble
from daemon.config import parse_station
from daemon.errors import InputError
from daemon.letter_kinds import LETTER_KINDS, OF_A_BATCH, PLANNED, UNPLANNED, Occasion
from daemon.letters.batch_letters import BatchLetters
from daemon.letters.scribe import Scribe
from daemon.letters.short_words import waiting_in_words
from daemon.play.story_file import parse_story
from daemon.store.file import WritingStore
from daemon.store.letters import LetterRow
from reports.conditions import CONDITIONS as CONDITIONS_IN_WORDS
from reports.language import languages
from reports.letters.kinds import LETTERS
from tests.kit.checkout import REFERENCE
from tests.kit.recordings import STORY
from tests.kit.station import station_text

KINDS = tuple(LETTER_KINDS)


def test_every_kind_has_its_row_of_words_and_no_other_has() -> None:
    assert sorted(LETTERS) == sorted(KINDS)


def test_the_page_on_letters_has_a_row_for_every_kind() -> None:
    rows = re.findall(r"^\| `([a-z]+)` \|", (REFERENCE / "letters.md").read_text("utf-8"), re.MULTILINE)
    assert sorted(set(rows)) == sorted(KINDS)


def test_every_letter_about_a_vessel_or_the_station_has_a_writer(tmp_path: Path) -> None:
    station = parse_station(station_text(), "station.toml")
    store = WritingStore(tmp_path, durable=False)
    desks = assemble(station, store.connection, 0)
    batches = BatchLetters(station, store.connection, desks.beliefs)
    scribe = Scribe(station, store.connection, desks.beliefs, desks.alarms.watch, batches, lambda: 0)
    assert scribe.kinds == {*UNPLANNED, *PLANNED}
    for kind in scribe.kinds:  # where nothing stands, nothing is written, and nothing raises
        assert scribe.letter(kind, ["cup"], 0) is None
    store.close()


@pytest.mark.parametrize("language", languages())
@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_can_be_waited_for_in_words(kind: str, language: str) -> None:
    for state in ("held", "queued", "parked"):
        row = LetterRow(1, 0, kind, "", state, 0, 0, None, None, (), None, None)
        assert waiting_in_words(row, language)


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_can_be_hoped_for_and_excluded_in_a_story(kind: str) -> None:
    told = STORY.format(station=station_text(driver="rehearsal"))
    story = parse_story(
        f'{told}\n[[must]]\nkind = "{kind}"\n[[must_not]]\nkind = "{kind}"\n', "trial", Path()
    )
    assert [(call.kind, call.at_most) for call in story.calls] == [(kind, None), (kind, 0)]


def test_a_kind_that_does_not_exist_is_refused_in_a_story_with_those_that_do() -> None:
    told = STORY.format(station=station_text(driver="rehearsal"))
    with pytest.raises(InputError) as refused:
        parse_story(f'{told}\n[[must]]\nkind = "applause"\n', "trial", Path())
    assert all(kind in str(refused.value) for kind in KINDS)


def test_every_condition_is_told_by_an_unplanned_letter() -> None:
    assert {condition.letter for condition in CONDITIONS.values()} <= set(UNPLANNED)


def test_every_condition_of_a_vessel_has_its_words() -> None:
    assert sorted(CONDITIONS_IN_WORDS) == sorted(set(CONDITIONS) - set(OF_THE_STATION))


def test_only_what_somebody_has_to_be_there_for_waits_for_somebody() -> None:
    waiting = {name for name, kind in LETTER_KINDS.items() if kind.waits_for_somebody}
    assert waiting <= set(UNPLANNED)
    assert "hot" not in waiting  # heat past what the animals bear goes at once (handbook, Alarms)


def test_a_batch_brings_planned_letters_only() -> None:
    assert set(OF_A_BATCH) < set(PLANNED)
    assert all(LETTER_KINDS[kind].occasion is Occasion.BATCH for kind in OF_A_BATCH)
