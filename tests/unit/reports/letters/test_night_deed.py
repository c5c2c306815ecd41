"""What is asked after a night: one thing first, and the water with it where nothing speaks against it."""

from dataclasses import replace

from reports.letters.night_deed import night_deed
from reports.letters.nightly import nightly_letter
from reports.records import Event, Range, TimeRange
from tests.kit.letter_text import flat
from tests.kit.report_samples import at_hour, away, band, local, night, vessel

SOON = TimeRange(at_hour(26), at_hour(28), at_hour(30))
DRY = vessel("jar", count=1, cold_c=18.0, fill_ml=34.0, low_mark_at=SOON)
COLD = vessel("cup", count=1, open_alarms=(Event(local(16, 4), "cold", "the water is too cold"),))
FILL = "Then fill up to the mark with plain water, as listed."
LIT = Event(local(15, 21), "lamp-stays-on", "the lamp is on outside its hours")
LINE = "naupliad care add jar top-up 34 --detail to=mark"


def test_water_is_asked_for_after_what_comes_first_with_its_care_and_its_line() -> None:
    deed = night_deed(away(), night(COLD, DRY))
    assert deed.what.startswith("look first at cup.")
    assert deed.what.endswith(FILL)
    assert list(deed.record) == [LINE]
    assert any("Dry hands" in one.text for one in deed.care)


def test_a_lamp_to_set_right_and_water_to_fill_up_share_one_care_that_asks_once_for_dry_hands() -> None:
    care = " ".join(one.text for one in night_deed(away(), night(replace(DRY, open_alarms=(LIT,)))).care)
    assert care.count("Dry hands") == 1
    for mind in ("do not reach over the water", "let a hot lamp cool", "Leave wet or damaged plugs"):
        assert mind in care
    assert care.endswith("Keep the water away from plug and lamp.")


def test_the_low_mark_of_a_vessel_to_fill_is_left_out_before_a_letter_grows_too_long() -> None:
    def said(*open_alarms: Event) -> str:
        return flat(nightly_letter(away(), night(replace(DRY, open_alarms=open_alarms)), with_chart=False))

    assert "Low mark: most likely" in said()
    cold = Event(local(15, 19), "cold", "the water is too cold")
    grown = said(LIT, cold, Event(local(15, 4), "lamp", "the lamp is off in its hours"))
    assert "Low mark" not in grown
    assert "Pour: 34 mL" in grown


def test_no_water_is_asked_for_beside_where_level_salt_probe_or_heater_want_a_look_first() -> None:
    silent = (Event(local(16, 4), "probe", "the probe jar-water gives nothing to believe"),)
    salt = band(lambda _: 9.0, lambda _: 0.5)
    for doubted in ({"open_alarms": silent}, {"salinity_g_per_kg": salt}, {"has_heater": True}):
        deed = night_deed(away(), night(COLD, replace(DRY, **doubted)))
        assert FILL not in deed.what
        assert LINE not in deed.record


def test_where_water_is_what_comes_first_it_is_asked_for_once() -> None:
    deed = night_deed(away(), night(DRY))
    assert deed.what == "fill jar to the mark with plain water."
    assert list(deed.record) == [LINE]


def test_a_cold_night_to_come_asks_for_it_first() -> None:
    chilly = replace(DRY, water_c_min_next_16h=Range(14.0, 16.0, 17.0), fill_ml=0.0)
    assert "cold is likely" in night_deed(away(), night(chilly)).what
