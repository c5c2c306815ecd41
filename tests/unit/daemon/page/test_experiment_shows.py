"""What an experiment's counts show on the page: equal development, and what is left to mind."""

from collections.abc import Iterator, Mapping
from pathlib import Path

import pytest

from tests.kit.page_station import Room, cold_room, main_of

PLAN = {"idea": "", "cups": "4", "of": "50", "near": "window", "seed": "7"}
LATE = "A cold or salty cup is late before it is poor."


@pytest.fixture
def room(tmp_path: Path) -> Iterator[Room]:
    with cold_room(tmp_path) as room:
        yield room


def counted(room: Room, level_hatched: Mapping[str, tuple[str, int]], **plan: str) -> str:
    """The page of an experiment whose cups were all counted: level, then hours and hatched of its first."""
    room.post("/plan/experiment", **PLAN, levels="; ".join(level_hatched), **plan)
    found = room.rows("SELECT code, level FROM experiment_seat ORDER BY level, code")
    for number, (code, level) in enumerate(found):
        hours, hatched = level_hatched[str(level)]
        room.post("/experiment/1", cup=str(code), hatched=str(hatched + number % 4), hours=hours)
    return main_of(room.get("/experiment/1?now=yes"))


def test_levels_each_counted_when_its_hatch_was_over_are_compared(room: Room) -> None:
    said = counted(room, {"18 °C": ("54", 35), "26 °C": ("24", 36)}, factor="warmth")
    assert (
        "Each counted when about equally far on (18 °C at hour 54 and 26 °C at hour 24): About as many"
        in said
    )
    assert "may only be late" not in said


@pytest.mark.parametrize(
    ("factor", "hours", "minded"),
    [
        ({"factor": "light"}, "24", ""),
        ({"factor": "light"}, "", ""),
        ({"factor": "other", "other": "place"}, "24", "count again some hours later: then it shows which."),
        ({"factor": "other", "other": "place"}, "", "Next time give hours with each count"),
    ],
)
def test_lateness_is_minded_unless_what_is_changed_is_surely_another(
    room: Room, factor: dict[str, str], hours: str, minded: str
) -> None:
    said = counted(room, {"high": (hours, 40), "low": (hours, 5)}, **factor)
    assert "More hatched at high" in said
    assert (LATE in said) == bool(minded)
    assert minded in said
    assert "water_c" not in said
