"""A vessel in one line: what it says of hours is as sure as what letters say of them."""

import pytest

from reports.records import TimeRange
from reports.vessel_line import vessel_line
from tests.kit.report_samples import here, local, vessel


def moments(day: int, hour: int, minute: int) -> TimeRange:
    return TimeRange(local(day, hour), local(day, hour, minute), local(day, hour + 1))


@pytest.mark.parametrize(
    ("opens", "closes", "said"),
    [
        ((15, 19, 19), (16, 3, 31), "harvest about today at 19:30 to tomorrow at 03:30"),
        ((15, 9, 2), (15, 17, 50), "harvest until about today at 18:00"),
        ((14, 1, 0), (14, 9, 14), "harvest window passed yesterday at 09:00"),
    ],
)
def test_believed_hours_are_said_to_the_half_hour(
    opens: tuple[int, int, int], closes: tuple[int, int, int], said: str
) -> None:
    known = {"harvest_opens_at": moments(*opens), "harvest_closes_at": moments(*closes), "stage": "hatched"}
    assert vessel_line(here(), vessel(**known)).endswith(said)
    drawn = vessel(**{**known, "stage": "being harvested"})
    assert "harvest about" not in vessel_line(here(), drawn)
    assert "window" not in vessel_line(here(), drawn)
