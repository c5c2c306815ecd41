"""A plan made with a tin that falls off, whose counts disagree, or that gave too few says so in one line."""

from pathlib import Path

import pytest

from tests.kit.command_line import naupliad
from tests.kit.tin_station import tin_station

FALLS = "spring: This tin falls off: over 5 counts from about 88 % to about 25 %."
PLANS = {
    "dose": ("plan", "dose", "--volume-ml", "200", "--animals", "50"),
    "cone": ("plan", "cone", "--volume-ml", "1000", "--cysts-g", "2", "--water-c", "27"),
    "start": ("plan", "start", "--for", "2027-02-10 10:00/10:45", "--water-c", "24", "--vessel", "tray"),
}


ALARMS = ("This tin falls off", "The counts of this tin disagree", "Too few of this tin")


def said_of(state: Path, plan: str, lot: str) -> str:
    """All of it as one line: cards are wrapped."""
    said = naupliad(*PLANS[plan], "--lot", lot, "--state", state)
    assert (said.code, said.err) == (0, "")
    return " ".join(said.out.split())


@pytest.mark.parametrize("plan", PLANS)
@pytest.mark.parametrize(
    ("hatched", "told"),
    [
        ((88, 80, 66, 45, 25), FALLS),
        ((80, 30, 80, 30), "spring: The counts of this tin disagree: from 30 % to 80 %."),
        ((31,), "spring: Too few of this tin hatched in its newest count: 31 %. Get another tin."),
        ((80, 84, 77), None),
    ],
)
def test_a_plan_says_what_speaks_against_its_tin(
    tmp_path: Path, plan: str, hatched: tuple[int, ...], told: str | None
) -> None:
    state = tin_station(tmp_path / "own", hatched, played=True)
    said = said_of(state, plan, "spring")
    assert sum(said.count(alarm) for alarm in ALARMS) == (0 if told is None else 1)
    assert told is None or told in said
    assert not any(alarm in said_of(state, plan, "unused") for alarm in ALARMS)


def test_a_tin_tested_for_its_share_only_has_the_hours_of_any_tin_and_says_so(
    tmp_path: Path,
) -> None:
    state = tin_station(tmp_path / "own")
    late = ("--put", "100", "--hours", "48", "--water-c", "25", "--keep", "--state", state, "--lot", "unused")
    for month, hatched in enumerate((78, 80, 76, 81, 79), 5):
        at = f"2026-{month:02d}-01 12:00"
        assert naupliad("lot", "test", *late, "--hatched", str(hatched), "--at", at).code == 0
    plan = (*PLANS["cone"], "--state", state)
    of_any, of_tin = (naupliad(*plan, *lot).out for lot in ((), ("--lot", "unused")))
    assert of_tin.splitlines()[:7] == of_any.splitlines()[:7]
    said = " ".join(of_tin.split())
    assert "unused was tested for its share only: of its hours nothing is known" in said
    assert "hatches of unused" not in said
