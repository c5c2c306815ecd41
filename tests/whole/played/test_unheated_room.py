"""The measured weather in tests/data is what its SOURCE.md says."""

import csv
import math
import tomllib
from datetime import datetime, timedelta
from importlib.util import find_spec
from itertools import pairwise
from pathlib import Path

import pytest
from scipy.integrate import solve_ivp

from tests.kit.checkout import UNHEATED_ROOM

SHIFT_DAYS = 13881  # 8 June 1989 to 10 June 2027


def tape() -> list[dict[str, str]]:
    """The rows of the tape."""
    with (UNHEATED_ROOM / "tape.csv").open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def care() -> list[dict[str, str]]:
    """The rows of the care log."""
    with (UNHEATED_ROOM / "care.csv").open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def series(probe: str) -> dict[datetime, float]:
    """One probe's values by time."""
    return {datetime.fromisoformat(r["time"]): float(r["value"]) for r in tape() if r["probe"] == probe}


def test_the_tape_holds_every_hour_of_every_probe_in_time_order() -> None:
    times = [datetime.fromisoformat(row["time"]) for row in tape()]
    assert times == sorted(times)
    for probe in ("cup-water", "room-air", "room-rh"):
        steps = {later - earlier for earlier, later in pairwise(series(probe))}
        assert steps == {timedelta(hours=1)}


def test_the_stretch_runs_from_thursday_to_tuesday() -> None:
    times = sorted(series("room-air"))
    assert (times[0].strftime("%a"), times[-1].strftime("%a")) == ("Thu", "Tue")


def test_the_station_has_the_probes_of_the_tape() -> None:
    station = tomllib.loads((UNHEATED_ROOM / "station.toml").read_text(encoding="utf-8"))
    assert {probe["id"] for probe in station["probe"]} == {row["probe"] for row in tape()}


def test_the_files_stay_small() -> None:
    assert sum(file.stat().st_size for file in UNHEATED_ROOM.iterdir() if file.is_file()) < 40_000


@pytest.mark.skipif(
    find_spec("pvlib") is None, reason="pvlib, which packages the weather file, is not installed"
)
@pytest.mark.parametrize(
    ("probe", "column", "source"),
    [("room-air", "Dry-bulb (C)", "Dry-bulb source"), ("room-rh", "RHum (%)", "RHum source")],
)
def test_the_measured_columns_are_the_weather_files(probe: str, column: str, source: str) -> None:
    spec = find_spec("pvlib")
    assert spec is not None
    assert spec.origin is not None
    measured = series(probe)
    found = 0
    with (Path(spec.origin).parent / "data" / "723170TYA.CSV").open(newline="") as file:
        next(file)
        for row in csv.DictReader(file):
            midnight = datetime.strptime(row["Date (MM/DD/YYYY)"] + " -0500", "%m/%d/%Y %z")
            at = midnight + timedelta(days=SHIFT_DAYS, hours=int(row["Time (HH:MM)"][:2]))
            if at in measured:
                found += 1
                assert row[source] == "A"
                assert measured[at] == float(row[column])
    assert found == len(measured)


# The heat balance written out once more and solved by scipy (1e-6): 250 mL less what is lost, 4.124
# J/(mL·K), 0.18 W/K, half of Rohwer with Magnus' vapour pressure, latent heat 2450 J/g. The tape is rounded
# to 1/16 K: 0.03 K; 0.03 K more for its 6 min steps and for the rounder constants here.
def test_the_computed_cup_follows_the_heat_balance() -> None:
    water, air, humidity = (series(probe) for probe in ("cup-water", "room-air", "room-rh"))
    hours = sorted(water)
    fill = next(row for row in care() if row["deed"] == "top-up")
    fill_at_h = (datetime.fromisoformat(fill["time"]) - hours[0]) / timedelta(hours=1)

    def saturated_pa(t: float) -> float:
        return 611.2 * math.exp(17.62 * t / (t + 243.12))

    def room_at(at_h: float) -> tuple[float, float]:
        i = min(int(at_h), len(hours) - 2)
        share = at_h - i
        now, then = hours[i], hours[i + 1]
        return air[now] * (1 - share) + air[then] * share, humidity[now] * (1 - share) + humidity[
            then
        ] * share

    def slope(at_h: float, state: list[float]) -> list[float]:
        water_c, lost_ml = state
        room_c, rh_pct = room_at(at_h)
        deficit_pa = max(0.0, 0.986 * saturated_pa(water_c) - saturated_pa(room_c) * rh_pct / 100.0)
        mm_per_h = 0.5 * 0.771 * (1.465 - 0.000732 * 760.0) * 0.44 * deficit_pa / 133.322 / 24.0
        heat = 4.124 * (250.0 - lost_ml + (float(fill["amount"]) if at_h > fill_at_h else 0.0))
        warming_w = -0.18 * (water_c - room_c) - mm_per_h * 3.85 * 2450.0 / 3600.0
        return [3600.0 * warming_w / heat, mm_per_h * 3.85]

    span = (0.0, len(hours) - 1.0)
    solved = solve_ivp(slope, span, [air[hours[0]], 0.0], t_eval=range(len(hours)), max_step=0.1, rtol=1e-6)
    for at, computed in zip(hours, solved.y[0], strict=True):
        assert water[at] == pytest.approx(computed, abs=0.06)
    # The top-up is the loss up to then, in whole mL: half a mL, and one per cent for density and constants.
    lost_ml = solved.y[1][round(fill_at_h)]
    assert float(fill["amount"]) == pytest.approx(lost_ml, abs=0.6)
