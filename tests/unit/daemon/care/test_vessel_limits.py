"""Amounts that a vessel can hardly take are asked about: cysts, water in, water out."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.care.deed import Deed
from daemon.care.vessel_limits import BelievedLoss, cups_like, questions_of_size
from tests.kit.station import probe, station, vessel

ROOM = station(
    probe("water"),
    vessel("cup", "water", brim_ml=30.0),
    vessel("tray", "water", count=24),
    vessel("cone", "water", kind="cone", mark_ml=2000.0, surface_cm2=120.0, low_ml=200.0),
)
LOSS = BelievedLoss(10.0, 25.0)


def asked(
    deed: str, amount: float, name: str = "cup", loss: BelievedLoss | None = LOSS, **detail: float
) -> str:
    place = ROOM.vessel(name)
    assert place is not None
    return " ".join(questions_of_size(Deed(0, name, deed, amount, detail), place, loss))


def test_more_cysts_than_five_grams_a_litre_are_asked_about() -> None:
    # FAO Fisheries Technical Paper 428: up to 5 g/L under 20 L; 1.25 g in 250 mL.
    assert "20 g of cysts in 250 mL" in asked("set", 20.0)
    assert "up to 1.25 g is usual" in asked("set", 1.3)
    assert "up to 10 g is usual" in asked("set", 11.0, "cone")


def test_ten_times_the_usual_dose_of_a_cup_is_asked_about_and_a_cones_is_usual() -> None:
    assert "1.2 g of cysts in 250 mL is 24 times the 0.05 g that are usual" in asked("set", 1.2)
    assert "Is that for all 24? Then one cup got 0.05 g." in asked("set", 1.2, "tray")
    assert "10 times" in asked("set", 0.5)
    assert asked("set", 0.49) == ""
    assert asked("set", 0.5, volume_ml=300.0) == ""
    assert asked("set", 4.0, "cone") == ""  # 2 g/L


def test_the_dose_of_all_cups_noted_for_one_is_asked_about() -> None:
    """A dose card for seven cups of 250 mL says 0.35 g in all, and seven cups stand here, one by one."""
    seven = station(*(probe(f"w-{n}") for n in range(7)), *(vessel(f"cup-{n}", f"w-{n}") for n in range(7)))
    cup = seven.vessels[0]

    def said(amount: float) -> str:
        deed = Deed(0, "cup-0", "set", amount, {})
        return " ".join(questions_of_size(deed, cup, None, cups_like(cup, seven)))

    assert "Is that for all 7? Then one cup got 0.05 g." in said(0.35)
    assert "Is that for all 7?" in said(0.33)
    assert said(0.05) == said(0.1) == said(0.25) == ""
    tray = ROOM.vessel("tray")
    assert tray is not None
    assert cups_like(tray, ROOM) == 25  # and the cup beside it


def test_a_filling_of_more_than_there_was_room_for_is_asked_about() -> None:
    assert "432 mL is more than cup holds, 250 mL." in asked("top-up", 432.0, loss=None)
    # 25 mL gone at most, a brim of 30 mL, and a tenth of the mark for what is not known.
    assert "there was room for at most 55 mL in cup, and 81 mL were poured in" in asked("top-up", 81.0)
    assert asked("top-up", 79.0) == asked("brine", 18.0) == asked("top-up", 81.0, loss=None) == ""
    assert asked("top-up", 95.0, above_ml=60.0) == ""


def test_more_taken_out_than_it_held_is_asked_about() -> None:
    assert "held at most 240 mL, and 300 mL were taken out" in asked("remove", 300.0)
    assert "held at most 250 mL, and 300 mL were taken out" in asked("harvest", 300.0, loss=None)
    assert asked("remove", 240.0) == ""


def test_a_harvest_of_most_of_it_asks_whether_the_batch_is_over() -> None:
    assert "Is the batch over, so that 'naupliad care add cone end' should follow?" in asked(
        "harvest", 1900.0, "cone"
    )
    assert asked("harvest", 900.0, "cone") == ""
    assert asked("harvest", 1900.0, "cone", None) == "", "no batch runs"
    assert asked("remove", 1900.0, "cone") == ""


@given(
    st.sampled_from(["set", "top-up", "brine", "remove", "harvest", "feed"]),
    st.floats(0.0, 5000.0),
    st.sampled_from(["cup", "tray", "cone"]),
    st.one_of(st.none(), st.builds(BelievedLoss, st.floats(-30.0, 50.0), st.floats(50.0, 200.0))),
)
def test_at_most_one_question_of_size_is_asked_and_it_is_one_line(
    deed: str, amount: float, name: str, loss: BelievedLoss | None
) -> None:
    question = asked(deed, amount, name, loss)
    assert question.count("Is it right?") <= 1
    assert "\n" not in question
    assert "nan" not in question


def test_a_question_speaks_of_one_cup_where_there_are_several_and_of_the_vessel_where_there_is_one() -> None:
    for deed, amount in (
        ("set", 20.0),
        ("set", 0.6),
        ("top-up", 300.0),
        ("top-up", 100.0),
        ("remove", 400.0),
    ):
        assert "one cup" in asked(deed, amount, "tray")
        assert "one cup" not in asked(deed, 10 * amount, "cone")


@pytest.mark.parametrize("deed", ["set", "top-up", "remove", "harvest"])
def test_an_amount_of_nothing_is_not_odd(deed: str) -> None:
    assert asked(deed, 0.0) == ""
