"""A station that is set to German, from its file to its letters, its state and its report."""

import re
from email import message_from_bytes, policy
from pathlib import Path

import pytest

from tests.kit.command_line import naupliad
from tests.kit.letter_text import ENGLISH
from tests.kit.recordings import good, stamp, tape_rows, unix, write_care, write_tape
from tests.kit.station import PROBES, probe, station_text, vessel
from tests.kit.undrawn import undrawn

BEGAN = unix("2027-01-14T08:00:00+00:00")  # a Thursday


@pytest.fixture(scope="module")
def state(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What a German station left after a day and a half: warm, then cold from Thursday noon on."""
    place = tmp_path_factory.mktemp("german")
    tape = {"driver": "tape", "file": "tape.csv"}
    said = station_text(
        probe("cup-water", **tape),
        probe("room-air", "room_c", **tape),
        vessel("becher", *PROBES, brim_ml=30.0),
        name="Raum 12",
        every_s=600,
        language="de",
    )
    (place / "station.toml").write_text(said, encoding="utf-8")
    warm = tape_rows(BEGAN, 24, good(24.0), 600)
    cold = tape_rows(BEGAN + 24 * 600, 190, good(16.5, 16.0), 600)
    care = write_care(
        place / "care.csv",
        f"{stamp(BEGAN + 600)},becher,set,0.05,g,salt_g_per_l=25;lot=spring-tin",
        f"{stamp(BEGAN + 5400)},becher,top-up,1.5,ml,to=mark",
        f"{stamp(BEGAN + 6000)},becher,stir,,,",
    )
    tape = write_tape(place / "tape.csv", warm + cold)
    with undrawn():
        done = naupliad(
            "replay", tape, "--care", care, "--config", place / "station.toml", "--out", place / "state"
        )
    assert (done.code, done.err) == (0, "")
    return place / "state"


def test_every_letter_of_a_german_station_is_german(state: Path) -> None:
    letters = [
        message_from_bytes(path.read_bytes(), policy=policy.default)
        for path in sorted((state / "letters").iterdir())
    ]
    assert {"cold", "nightly"} <= {letter["X-Naupliad-Kind"] for letter in letters}
    for letter in letters:
        assert letter["Content-Language"] == "de", letter["Subject"]
        plain, page = (letter.get_body((kind,)).get_content() for kind in ("plain", "html"))
        assert '<html lang="de">' in page
        said = re.sub(r"naupliad care add .*?\n-", "", f"{letter['Subject']} {plain}", flags=re.DOTALL)
        assert not ENGLISH.search(said.replace("cup-water", "")), said


def test_the_state_of_a_german_station_is_said_in_german(state: Path) -> None:
    said = naupliad("now", "--state", state).out
    assert said.startswith("Raum 12, Freitag, 15. Januar 2027 um ")
    assert "ALARM: Das Wasser ist zu kalt" in said
    assert not ENGLISH.search(said.replace("cup-water", "")), said


def test_the_report_of_a_german_night_is_german(state: Path, tmp_path: Path) -> None:
    said = naupliad("report", "2027-01-14", "--state", state, "--out", tmp_path / "night")
    assert (said.code, said.err) == (0, "")
    text = (tmp_path / "night" / "letter.txt").read_text(encoding="utf-8")
    assert "Das Wasser ist zu kalt, seit heute um 12:00 Uhr. Noch offen." in " ".join(text.split())
    assert "becher: Das Wasser ist zu kalt, seit heute" in " ".join(text.split())
    assert not ENGLISH.search(text.replace("cup-water", "")), text
    assert (tmp_path / "night" / "charts" / "2027-01-14.png").read_bytes().startswith(b"\x89PNG")
