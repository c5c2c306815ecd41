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
