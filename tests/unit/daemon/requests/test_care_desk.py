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
from daemon.care.plausibility import measured_far_off, questions, scale_not_given
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
    return " ".join(questions(deed, now, earlier, UTC))


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


@pytest.mark.parametrize("deed", ["first-swimmer", "hatched", "harvest", "feed"])
def test_swimmers_or_food_minutes_after_the_set_are_asked_about(deed: str) -> None:
    amount = None if deed == "first-swimmer" else 0.5
    soon, later = (Deed(NOON - DAY + s, "cup", deed, amount) for s in (600, 15 * HOUR))
    assert "nothing swims before some twelve hours" in asked(soon, set_at(NOON - DAY))
    assert asked(later, set_at(NOON - DAY)) == ""


def test_a_look_where_no_batch_ran_is_asked_about() -> None:
    end = Deed(NOON - HOUR, "cup", "end")
    for deeds in ((), (set_at(NOON - DAY), end), (set_at(NOON + HOUR),)):
        assert "No batch ran in cup on Wed 13 Jan at 12:00" in asked(
            Deed(NOON, "cup", "hatched", 0.5), *deeds
        )
    assert asked(Deed(NOON, "cup", "hatched", 0.5), set_at(NOON - DAY)) == ""


@pytest.mark.parametrize("deed", ["harvest", "top-up", "brine", "remove", "feed", "salinity", "end"])
def test_a_deed_where_no_batch_ran_is_asked_about_for_nothing_comes_of_it(deed: str) -> None:
    done = Deed(NOON, "cup", deed, None if deed == "end" else 25.0)
    assert "No batch ran in cup on Wed 13 Jan at 12:00, so nothing is reckoned from it" in asked(done)
    assert asked(done, set_at(NOON - DAY)) == ""
    assert asked(Deed(NOON, "cup", "note", None, {"text": "washed"})) == ""


def test_a_gravity_told_as_a_salinity_is_asked_about() -> None:
    batch = set_at(NOON - DAY)
    assert "a hydrometer shows, 1.018 sg?" in asked(Deed(NOON, "cup", "salinity", 1.018), batch)
    assert asked(Deed(NOON, "cup", "salinity", 25.0), batch) == ""
    assert asked(Deed(NOON, "cup", "salinity", 1.018, {}, "sg"), batch) == ""


def test_that_nothing_hatched_yet_is_not_odd() -> None:
    assert asked(Deed(NOON, "cup", "hatched", 0.0), set_at(NOON - 600)) == ""


def test_a_salinity_far_from_what_was_believed_is_to_be_measured_once_more() -> None:
    odd, near = (Deed(NOON, "cup", "salinity", amount) for amount in (45.7, 28.0))
    assert "24 to 26 g of salt in a kg of brine, and 45.7 was measured" in str(
        measured_far_off(odd, (24.1, 26.2))
    )
    assert measured_far_off(near, (24.1, 26.2)) is None
    assert measured_far_off(odd, None) is None
    by_glass = Deed(NOON, "cup", "salinity", 1.033, {"water_c": 25.0, "scale_c": 25.0}, "sg")
    assert "and 46 (1.033 sg) was measured" in str(measured_far_off(by_glass, (24.1, 26.2)))


def test_a_specific_gravity_without_its_temperatures_is_asked_for_them() -> None:
    bare, told = (
        Deed(NOON, "cup", "salinity", 1.018, {"with": "hydrometer", **more}, "sg")
        for more in ({}, {"water_c": 24.0, "scale_c": 25.0})
    )
    assert "says more with water_c and scale_c" in str(scale_not_given(bare))
    assert scale_not_given(told) is None
    assert scale_not_given(Deed(NOON, "cup", "salinity", 26.5)) is None


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
    for question in questions(Deed(NOON - late_s, "cup", deed, amount), NOON, before, UTC):
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


def test_a_tin_in_another_spelling_is_kept_and_asked_about(desk: CareDesk) -> None:
    def of_tin(name: str, at: int) -> list[str]:
        detail = f"salt_g_per_l=25;lot={name}"
        answered: list[str] = desk.answer({**words(at), "detail": detail}, NOON)["doubts"]
        return [doubt for doubt in answered if "tin" in doubt]

    assert of_tin("tin A", NOON - 3 * HOUR) == []
    assert of_tin("tin AA", NOON - 2 * HOUR) == ["No tin was called tin AA before: did you mean tin A?"]
    assert of_tin("tin A", NOON - HOUR) == []
    assert of_tin("harbour", NOON) == []


def test_what_is_further_back_than_beliefs_read_is_refused_and_changes_nothing(desk: CareDesk) -> None:
    with pytest.raises(InputError, match="time: found a moment 3652 days ago; allowed: within the last 90 d"):
        desk.answer(words(NOON - 3652 * DAY), NOON)
    kept = desk.answer(words(NOON - 90 * DAY), NOON)["id"]
    # A correction that is refused leaves the old entry standing, in the store and in what is believed.
    with pytest.raises(InputError, match="91 days ago"):
        desk.answer({**words(NOON - 91 * DAY), "ask": "correct", "id": kept}, NOON)
    with pytest.raises(InputError, match="ahead"):
        desk.answer({**words(NOON + DAY), "ask": "correct", "id": kept}, NOON)
    assert desk.doubts(set_at(NOON), NOON)[0].startswith("A batch runs in cup already")
    # One that keeps its time is never too old to be put right.
    later = NOON + 30 * DAY
    assert desk.answer({**words(NOON - 90 * DAY, "0.06"), "ask": "correct", "id": kept}, later)["id"] == 2


def test_an_entry_says_what_was_believed_before_and_after_where_that_changed(desk: CareDesk) -> None:
    began = desk.answer(words(NOON - 30 * HOUR), NOON)["changed"]
    assert list(began) == ["hatch_t50"]
    assert began["hatch_t50"]["before"] is None
    none_yet = desk.answer(done("hatched", "0", "fraction"), NOON)["changed"]["hatch_t50"]
    assert none_yet["before"] == began["hatch_t50"]["after"]
    assert none_yet["after"]["p50"] > none_yet["before"]["p50"] + HOUR
    filled = desk.answer(done("top-up", "20", "ml", "to=mark"), NOON)["changed"]
    assert list(filled) == ["loss_ml_per_day", "loss_ml"]
    assert filled["loss_ml"]["after"]["p50"] == pytest.approx(0.0, abs=3.0)
    assert desk.answer(done("stir"), NOON)["changed"] == {}
    # Taking it back undoes it.
    back = desk.answer({"ask": "withdraw", "id": 3}, NOON)["changed"]["loss_ml"]
    assert (back["before"], back["after"]) == (filled["loss_ml"]["after"], filled["loss_ml"]["before"])


def done(deed: str, amount: str | None = None, unit: str = "", detail: str = "") -> dict[str, object]:
    told = {"vessel": "cup", "deed": deed, "amount": amount, "unit": unit, "detail": detail}
    return {"ask": "record", "at": NOON, **told}


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
    assert first.startswith("recorded as deed 2: cup hatched 0.5 fraction, Fri 15 Jan 2027 ")
    assert "set Fri 15 Jan at 09:05; nothing swims" in question
    assert way_out.startswith("If not: naupliad care correct 2")
    plain = naupliad("care", "add", "cup", "stir", "--state", tmp_path / "out", "--json")
    told_json = json.loads(plain.out)
    assert datetime.fromisoformat(told_json.pop("at")).year == 2027
    assert told_json == {"id": 3, "doubts": [], "changed": {}, "said": None}
    assert datetime.fromtimestamp(deed_of(tmp_path / "out", 2).at, UTC).year == 2027


def deed_of(folder: Path, deed_id: int) -> Deed:
    store = WritingStore(folder, durable=False)
    entry = deed_store.find(store.connection, deed_id)
    store.close()
    assert entry is not None
    return entry.deed
