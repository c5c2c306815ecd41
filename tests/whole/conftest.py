"""What is played for several files, once in a run of the tests (tests/kit/plays.py)."""

from pathlib import Path

import pytest

from tests.kit.played import Played
from tests.kit.plays import Plays
from tests.kit.rehearsals import rehearse
from tests.kit.telling import LOOKED_INTO, Telling, tell


@pytest.fixture(scope="session")
def rehearsed(shared: Path, request: pytest.FixtureRequest) -> Plays[Played]:
    """Stories as `naupliad rehearse` leaves them."""
    return Plays(shared / "rehearsed", rehearse, _names_asked_of("rehearsed", request))


@pytest.fixture(scope="session")
def told(shared: Path, request: pytest.FixtureRequest) -> Plays[Telling]:
    """What each story told, played without charts; of those that are looked into the folders stay."""
    return Plays(
        shared / "told",
        lambda name, folder: tell(name, folder if name in LOOKED_INTO else None),
        _names_asked_of("told", request),
    )


def _names_asked_of(fixture: str, request: pytest.FixtureRequest) -> list[str]:
    """The names that the tests of this run hand to a fixture, in their order."""
    asked = (
        item.callspec.params["name"]
        for item in request.session.items
        if isinstance(item, pytest.Function) and {fixture, "name"} <= {*item.fixturenames}
    )
    return list(dict.fromkeys(asked))
