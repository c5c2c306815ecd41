"""The care log asks back about odd entries: kept, never refused, but for what lies in the future."""

import json
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.assembly import assemble
from daemon.care.deed import KINDS, Deed
from daemon.care.plausibility import measured_far_off, questions
from daemon.errors import InputError
from daemon.requests.care_desk import CareDesk
from daemon.store import deeds as deed_store
from daemon.store.file import WritingStore
from tests.kit.command_line import naupliad
from tests.kit.recordings import good, tape_rows, unix, write_care, write_tape
from tests.kit.station import station, station_text

pytestmark = pytest.mark.usefixtures("undrawn")

STATION = station()
NOON = unix("2027-01-13T12:00:00+00:00")  # a Wednesday
HOUR, DAY = 3600, 86_400


def asked(deed: Deed, *earlier: Deed, now: int = NOON) -> str:
    return " ".join(questions(deed, now, earlier, 250.0, UTC))


def set_at(at: int, grams: float = 0.05) -> Deed:
    return Deed(at, "cup", "set", grams, {"salt_g_per_l": 25.0})


def test_a_set_of_this_morning_is_not_asked_about() -> None:
    assert asked(set_at(NOON - 3 * HOUR)) == ""


def test_a_set_told_more_than_twelve_hours_late_is_asked_about_with_its_day() -> None:
    assert asked(set_at(NOON - 12 * HOUR)) == ""
    assert "since Tue 12 Jan at 12:00, 24 hours ago. Is the day right?" in asked(set_at(NOON - DAY))


def test_a_second_set_within_a_running_batch_is_asked_about_and_one_after_an_end_is_not() -> None:
    first, end = set_at(NOON - 2 * DAY), Deed(NOON - HOUR, "cup", "end")
    assert "already, set Mon 11 Jan at 12:00, and it was not ended" in asked(set_at(NOON), first)
    assert asked(set_at(NOON), first, end) == ""


def test_more_cysts_than_five_grams_a_litre_are_asked_about() -> None:
    # FAO Fisheries Technical Paper 428: up to 5 g/L under 20 L; 1.25 g in 250 mL.
    assert "20 g of cysts in 250 mL" in asked(set_at(NOON, 20.0))
    assert "up to 1.25 g is usual" in asked(set_at(NOON, 1.3))
    assert asked(set_at(NOON, 1.25)) == ""


@pytest.mark.parametrize("deed", ["first-swimmer", "hatched", "harvest", "feed"])
def test_swimmers_or_food_minutes_after_the_set_are_asked_about(deed: str) -> None:
    amount = None if deed == "first-swimmer" else 0.5
    soon, later = (Deed(NOON - DAY + s, "cup", deed, amount) for s in (600, 15 * HOUR))
    assert "nothing swims before some twelve hours" in asked(soon, set_at(NOON - DAY))
    assert asked(later, set_at(NOON - DAY)) == ""


def test_that_nothing_hatched_yet_is_not_odd() -> None:
    assert asked(Deed(NOON, "cup", "hatched", 0.0), set_at(NOON - 600)) == ""


def test_a_filling_of_more_than_a_whole_cup_is_asked_about() -> None:
    assert "432 mL is more than a cup of 250 mL" in asked(Deed(NOON, "cup", "top-up", 432.0))
    assert asked(Deed(NOON, "cup", "top-up", 18.0)) == ""


def test_a_salinity_far_from_what_was_believed_is_to_be_measured_once_more() -> None:
    odd, near = (Deed(NOON, "cup", "salinity", amount) for amount in (45.7, 28.0))
    assert "24 to 26 g/kg of salt, and 45.7 was measured" in str(measured_far_off(odd, (24.1, 26.2)))
    assert measured_far_off(near, (24.1, 26.2)) is None
    assert measured_far_off(odd, None) is None


@given(
    deed=st.sampled_from(sorted(KINDS)),
    amount=st.one_of(st.none(), st.floats(0, 1000)),
    late_s=st.integers(-300, 90 * DAY),
    earlier=st.lists(
        st.tuples(st.sampled_from(["set", "end", "top-up"]), st.integers(0, 100 * DAY)), max_size=5
    ),
)
def test_questions_are_plain_sentences_whatever_was_told(
    deed: str, amount: float | None, late_s: int, earlier: Sequence[tuple[str, int]]
) -> None:
    before = [Deed(NOON - ago, "cup", name, 0.05 if name != "end" else None) for name, ago in earlier]
    for question in questions(Deed(NOON - late_s, "cup", deed, amount), NOON, before, 250.0, UTC):
        assert question.endswith("?")
        assert "\n" not in question
        assert "None" not in question


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[CareDesk]:
    store = WritingStore(tmp_path, durable=False)
    yield assemble(STATION, store.connection, NOON).care
    store.close()


def words(at: int, amount: str = "0.05") -> dict[str, object]:
    told = {"vessel": "cup", "deed": "set", "amount": amount, "unit": "g", "detail": "salt_g_per_l=25"}
    return {"ask": "record", "at": at, **told}


def test_a_start_in_the_future_is_refused_and_one_a_day_early_is_kept_and_asked_about(desk: CareDesk) -> None:
    with pytest.raises(InputError, match="2 hours ahead; allowed: now or earlier"):
        desk.answer(words(NOON + 2 * HOUR), NOON)
    answered = desk.answer(words(NOON - DAY), NOON)
    assert answered["id"] == 1
    assert "Is the day right?" in answered["doubts"][0]


def test_a_correction_is_not_held_against_the_entry_it_replaces(desk: CareDesk) -> None:
    wrong = desk.answer(words(NOON - DAY), NOON)["id"]
    corrected = desk.answer({**words(NOON - HOUR), "ask": "correct", "id": wrong}, NOON)
    assert corrected["doubts"] == []


def test_the_command_prints_the_question_and_how_to_correct(tmp_path: Path) -> None:
    began = unix("2027-01-15T09:00:00+00:00")
    write_tape(tmp_path / "tape.csv", tape_rows(began, 30, good(21.0)))
    write_care(tmp_path / "care.csv", "2027-01-15T09:05:00+00:00,cup,set,0.05,g,salt_g_per_l=25")
    (tmp_path / "station.toml").write_text(station_text(), encoding="utf-8")
    files = (tmp_path / "tape.csv", "--care", tmp_path / "care.csv", "--config", tmp_path / "station.toml")
    assert naupliad("replay", *files, "--out", tmp_path / "out").code == 0
    told = naupliad("care", "add", "cup", "hatched", "0.5", "--state", tmp_path / "out")
    assert told.code == 0
    first, question, way_out = told.out.splitlines()
    assert first == "recorded as deed 2"
    assert "set Fri 15 Jan at 09:05; nothing swims" in question
    assert way_out.startswith("If not: naupliad care correct 2")
    plain = naupliad("care", "add", "cup", "stir", "--state", tmp_path / "out", "--json")
    assert json.loads(plain.out) == {"id": 3, "doubts": []}
    assert datetime.fromtimestamp(deed_of(tmp_path / "out", 2).at, UTC).year == 2027


def deed_of(folder: Path, deed_id: int) -> Deed:
    store = WritingStore(folder, durable=False)
    entry = deed_store.find(store.connection, deed_id)
    store.close()
    assert entry is not None
    return entry.deed
