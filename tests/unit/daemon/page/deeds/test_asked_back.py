"""What is asked back about an entry is German on a German page: every question that the care log has."""

import re
from collections.abc import Iterator
from datetime import UTC, datetime
from types import SimpleNamespace
from typing import Any

import pytest

from daemon.care.deed import Deed
from daemon.care.plausibility import brine_not_water, measured_far_off, questions, scale_not_given
from daemon.care.vessel_limits import BelievedLoss, questions_of_size
from daemon.page.deeds.asked_back import asked_back
from tests.kit.station import probe, station, vessel

NOW = int(datetime(2027, 1, 19, 12, 0, tzinfo=UTC).timestamp())
HOUR = 3600
ROOM = station(
    probe("water"),
    vessel("Fensterbank.1", "water", brim_ml=30.0),
    vessel("tray", "water", count=24),
    vessel("cone", "water", kind="cone", mark_ml=2000.0, surface_cm2=120.0, low_ml=200.0),
)
CUP, TRAY, CONE = ROOM.vessels


def glance(language: str) -> Any:
    """Enough of one to speak."""
    return SimpleNamespace(language=language, at=NOW, local=lambda at: datetime.fromtimestamp(at, UTC))


def of_its_time() -> Iterator[str]:
    set_at = Deed(NOW - 8 * 24 * HOUR, "Fensterbank.1", "set", 0.05, {})
    just = Deed(NOW - HOUR, "Fensterbank.1", "set", 0.05, {})
    yield from questions(set_at, NOW, [], UTC)
    yield from questions(just, NOW, [set_at], UTC)
    yield from questions(Deed(NOW, "Fensterbank.1", "feed", 0.02, {}), NOW, [just], UTC)
    for deed in ("first-swimmer", "top-up"):
        yield from questions(Deed(NOW, "Fensterbank.1", deed, 1.0, {}), NOW, [], UTC)
    gravity = Deed(NOW, "Fensterbank.1", "salinity", 1.02, {})
    yield from questions(gravity, NOW, [just], UTC)


def of_salt() -> Iterator[str]:
    for deed in (
        Deed(NOW, "Fensterbank.1", "salinity", 45.0, {}),
        Deed(NOW, "Fensterbank.1", "salinity", 1.034, {}, other_unit="sg"),
        Deed(NOW, "Fensterbank.1", "salinity", 1.02, {"water_c": 20.0}, other_unit="sg"),
    ):
        yield from (one for one in (measured_far_off(deed, (20.0, 26.0)), scale_not_given(deed)) if one)


def of_brine() -> Iterator[str]:
    question = brine_not_water(Deed(NOW, "Fensterbank.1", "top-up", 100.0, {"to": "mark"}), 100.0, 20.0, 14.8)
    assert question is not None
    yield question


def of_size() -> Iterator[str]:
    loss = BelievedLoss(10.0, 25.0)
    for place, deed, amount, cups in (
        (CUP, "set", 20.0, 1),
        (TRAY, "set", 20.0, 24),
        (CUP, "set", 0.5, 1),
        (CUP, "set", 0.35, 7),
        (TRAY, "set", 1.2, 24),
        (CUP, "top-up", 432.0, 1),
        (TRAY, "top-up", 432.0, 24),
        (CUP, "top-up", 81.0, 1),
        (TRAY, "remove", 300.0, 24),
        (CUP, "harvest", 200.0, 1),
    ):
        found = questions_of_size(Deed(NOW, place.id, deed, amount, {}), place, loss, cups)
        assert found, (place.id, deed, amount)
        yield from found


ALL = sorted({*of_its_time(), *of_salt(), *of_size(), *of_brine()})
ENGLISH = re.compile(
    r"\b(the|is|it|of|and|by|no|at|in the|right|amount|batch|were|than|that|already|water|one)\b",
    re.IGNORECASE,
)


@pytest.mark.parametrize("line", ALL)
def test_every_question_is_german_on_a_german_page_and_as_it_is_on_an_english_one(line: str) -> None:
    said = asked_back(glance("de"), line)
    assert not ENGLISH.search(said.replace("Fensterbank.1", "").replace("tray", "")), said
    assert "{" not in said
    assert asked_back(glance("en"), line) == line
    # Every figure of the question stands in it, with the decimal mark of the language.
    for figure in re.findall(r"\b[0-9]+\.[0-9]+\b", line.replace("Fensterbank.1", "")):
        assert figure.replace(".", ",") in said, (figure, said)


def test_a_moment_is_said_with_its_day() -> None:
    (line,) = questions(Deed(NOW - 8 * 24 * HOUR, "Fensterbank.1", "set", 0.05, {}), NOW, [], UTC)
    assert "Montag, 11. Januar um 12:00 Uhr" in asked_back(glance("de"), line)


def test_what_is_no_known_question_stays_as_it_is() -> None:
    assert asked_back(glance("de"), "Something else?") == "Something else?"
