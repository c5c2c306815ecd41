"""When the animals of a batch are fed: surely able to eat, not before day three, not too often."""

import pytest

from daemon.care.deed import Deed
from daemon.letters.seen import fed_from, may_be_fed
from daemon.seconds import DAY_S, HOUR_S

SET_AT = 1_800_000_000
EATS = SET_AT + 4 * DAY_S


def fed(days: float) -> Deed:
    return Deed(SET_AT + round(days * DAY_S), "tray", "feed", 0.05, {"food": "yeast"})


@pytest.mark.parametrize(
    ("eats_from", "deeds", "days"),
    [
        (SET_AT + DAY_S, [], 3.0),  # common practice, no source: day three or four
        (EATS, [], 4.0),
        (EATS, [fed(5.0)], 8.5),  # common practice, no source: once or twice a week
        (EATS, [fed(4.0), fed(7.5)], 11.0),
        (EATS, [fed(0.1)], 4.0),
        (EATS, [Deed(EATS, "tray", "stir")], 4.0),
    ],
)
def test_they_are_fed_from_then_on_and_not_before(eats_from: int, deeds: list[Deed], days: float) -> None:
    due = fed_from(SET_AT, eats_from, deeds)
    assert due == SET_AT + days * DAY_S
    assert may_be_fed(SET_AT, eats_from, deeds, round(due))
    assert not may_be_fed(SET_AT, eats_from, deeds, round(due) - HOUR_S)
