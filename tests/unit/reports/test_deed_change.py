"""The line that says what a deed changed: the hatch's hour, water, salt, and in the station's language."""

from datetime import datetime
from zoneinfo import ZoneInfo

import pytest

from reports.deed_change import DeedChange, change_line
from reports.records import Range, TimeRange

LISBON = ZoneInfo("Europe/Lisbon")


def at(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=LISBON)


NOW = at("2026-12-01T09:00")  # a Tuesday


def hours(*ends: str | None) -> TimeRange:
    early, late = (None if end is None else at(end) for end in ends)
    return TimeRange(early, early, late)


BEFORE, AFTER = hours("2026-12-01T08:00", "2026-12-01T22:10"), hours("2026-12-01T14:00", "2026-12-01T20:00")


def said(
    name: str, before: tuple[float, float], after: tuple[float, float], language: str = "en"
) -> str | None:
    pair = tuple(Range(low, (low + high) / 2, high) for low, high in (before, after))
    return change_line(DeedChange(language, NOW, ranges={name: (pair[0], pair[1])}))


def test_the_hatch_says_its_hour_and_what_it_was() -> None:
    assert change_line(DeedChange("en", NOW, (BEFORE, AFTER))) == (
        "Half now expected Tue 14:00 to 20:00, was Tue 08:00 to 22:00."
    )
    assert change_line(DeedChange("en", NOW, (None, AFTER))) == "Half expected Tue 14:00 to 20:00."
    assert change_line(DeedChange("de", NOW, (BEFORE, AFTER))) == (
        "Neue Vorhersage für die Hälfte: Di 14:00 bis 20:00 Uhr, vorher Di 08:00 bis 22:00 Uhr."
    )


@pytest.mark.parametrize(
    ("half", "words"),
    [
        (hours("2026-12-01T22:00", "2026-12-02T04:00"), "Tue 22:00 to Wed 04:00"),
        (hours("2026-12-07T22:00", "2026-12-08T04:00"), "Mon 22:00 to Tue 8 Dec at 04:00"),
        (hours("2026-12-01T22:00", "2026-12-01T22:10"), "Tue 22:00"),
        (hours("2026-12-01T22:00", None), "not before Tue 22:00"),
        (hours(None, None), "not known yet"),
    ],
)
def test_an_hour_is_never_said_so_that_it_could_be_another(half: TimeRange, words: str) -> None:
    assert change_line(DeedChange("en", NOW, (None, half))) == f"Half expected {words}."


def test_once_half_is_past_it_says_the_share() -> None:
    past = hours("2026-11-30T20:00", "2026-12-01T08:30")
    shares = {"hatched_fraction": (Range(0.2, 0.5, 0.8), Range(0.45, 0.5, 0.6))}
    line = change_line(DeedChange("en", NOW, (BEFORE, past), shares))
    assert line == "Hatched so far: 45 to 60 %, was 20 to 80 %."
    coming = change_line(DeedChange("en", NOW, (BEFORE, AFTER), shares))
    assert coming is not None
    assert coming.startswith("Half now expected")


@pytest.mark.parametrize(
    ("name", "before", "after", "line"),
    [
        ("loss_ml_per_day", (8, 30), (12, 18), "Evaporates 12 to 18 mL a day, was 8 to 30 mL a day."),
        ("loss_ml_per_day", (8, 30), (12, 12.2), "Evaporates 12 mL a day, was 8 to 30 mL a day."),
        (
            "salinity_g_per_kg",
            (23.5, 25.2),
            (26, 28),
            "Salt in a kg of brine: 26.0 to 28.0 g, was 23.5 to 25.2 g.",
        ),
        (
            *("loss_ml", (12, 18), (-3, 2)),
            "The water stands 3 mL above the mark to 2 mL below the mark, was 12 to 18 mL below the mark.",
        ),
        (
            *("loss_ml", (-0.4, 0.4), (-18, -12)),
            "The water stands 12 to 18 mL above the mark, was at the mark.",
        ),
    ],
)
def test_water_and_salt_say_what_they_are_and_were(
    name: str, before: tuple[float, float], after: tuple[float, float], line: str
) -> None:
    assert said(name, before, after) == line


def test_numbers_follow_the_language() -> None:
    assert said("salinity_g_per_kg", (23.5, 25.2), (26.1, 28.4), "de") == (
        "Salz in 1 kg Salzwasser: 26,1 bis 28,4 g, vorher 23,5 bis 25,2 g."
    )


def test_where_nothing_changed_nothing_is_said() -> None:
    assert change_line(DeedChange("en", NOW)) is None
