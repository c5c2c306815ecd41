"""Makes tape.csv and care.csv beside it from measured weather. Run by hand; see SOURCE.md.

    python -m pip install pvlib
    PYTHONPATH=. python tests/data/unheated_room/recipe.py

Deterministic: the same pvlib data file gives the same bytes.
"""

import csv
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta, timezone
from importlib.util import find_spec
from itertools import pairwise
from pathlib import Path
from typing import NamedTuple

from daemon.science.air import vapour_pressure_pa
from daemon.science.brine import salinity_g_per_kg, salt_g_of, water_activity, water_g_of
from daemon.science.cup_heat_balance import cup_c_after, evaporation_w, heat_capacity_j_per_k, ua_w_per_k_of
from daemon.science.evaporation import loss_ml_per_h, rohwer_mm_per_day

HERE = Path(__file__).parent
EST = timezone(timedelta(hours=-5))  # the weather file's clock
EDT = timezone(timedelta(hours=-4))  # the wall clock of that place in June
FIRST = datetime(1989, 6, 8, 8, tzinfo=EDT)  # a Thursday
LAST = datetime(1989, 6, 13, 15, tzinfo=EDT)  # the Tuesday after
SHIFT = datetime(2027, 6, 10, tzinfo=EDT) - datetime(1989, 6, 8, tzinfo=EDT)  # Thursday to Thursday

MARK_ML = 250.0
SURFACE_CM2 = 38.5
SALT_G_PER_L = 25.0
SALINITY = 24.46  # 25 g in a litre of water
# Not the formula that the estimates use: Rohwer's pan in still air, half of it for a rim 1 cm up.
RIM_SHARE = 0.5
STEP_H = 0.1
SENSOR_STEP_C = 0.0625
FILL = datetime(1989, 6, 12, 8, 20, tzinfo=EDT)  # the Monday


class Hour(NamedTuple):
    """One hour's observation."""

    at: datetime
    room_c: float
    rh_pct: float


def observed() -> Iterator[Hour]:
    """The measured hours between FIRST and LAST; refuses any that is not flagged as received (A)."""
    spec = find_spec("pvlib")
    if spec is None or spec.origin is None:
        raise SystemExit("recipe.py needs pvlib, for its packaged weather file 723170TYA.CSV")
    with (Path(spec.origin).parent / "data" / "723170TYA.CSV").open(newline="") as file:
        next(file)
        for row in csv.DictReader(file):
            day, month, year = (int(row["Date (MM/DD/YYYY)"].split("/")[i]) for i in (1, 0, 2))
            hours = int(row["Time (HH:MM)"][:2])  # 01 to 24
            at = datetime(year, month, day, tzinfo=EST) + timedelta(hours=hours)
            if not FIRST <= at <= LAST:
                continue
            if row["Dry-bulb source"] != "A" or row["RHum source"] != "A":
                raise SystemExit(f"{at}: not an observation")
            yield Hour(at, float(row["Dry-bulb (C)"]), float(row["RHum (%)"]))


class Cup:
    """The computed cup: its water's warmth and what it has lost since it was last at the mark."""

    def __init__(self, water_c: float) -> None:
        self.water_c = water_c
        self.loss_ml = 0.0
        self.salt_g = salt_g_of(MARK_ML, SALINITY, 25.0)
        self.water_g = water_g_of(MARK_ML, SALINITY, 25.0)

    def pass_time(self, hours: float, room_c: float, rh_pct: float) -> None:
        """Let `hours` go by in air of that warmth and humidity."""
        activity = water_activity(salinity_g_per_kg(self.salt_g, self.water_g - self.loss_ml))
        vapour_pa = vapour_pressure_pa(room_c, rh_pct)
        rate = RIM_SHARE * rohwer_mm_per_day(self.water_c, vapour_pa, 0.0, activity) / 24.0
        cooling_w = evaporation_w(rate, SURFACE_CM2, self.water_c)
        self.loss_ml += hours * loss_ml_per_h(rate, SURFACE_CM2, self.water_c)
        heat = heat_capacity_j_per_k(MARK_ML - self.loss_ml)
        ua = ua_w_per_k_of(MARK_ML)
        self.water_c = cup_c_after(hours, self.water_c, room_c, 0.0, ua, heat, cooling_w)

    def fill(self) -> float:
        """Fill to the mark with plain water; the whole mL poured, as read on a measuring cylinder."""
        poured_ml = float(round(self.loss_ml))
        self.loss_ml -= poured_ml
        return poured_ml


def between(a: Hour, b: Hour, share: float) -> tuple[float, float]:
    """Room °C and relative humidity at `share` of the way from one hour to the next."""
    return a.room_c + share * (b.room_c - a.room_c), a.rh_pct + share * (b.rh_pct - a.rh_pct)


def stamp(at: datetime) -> str:
    """The played time of a moment of 1989, RFC 3339."""
    return (at.astimezone(EDT) + SHIFT).isoformat()


def main() -> None:
    """Write both files."""
    hours = list(observed())
    cup = Cup(hours[0].room_c)
    tape: list[tuple[str, ...]] = []
    care: list[tuple[str, ...]] = []

    def note(at: datetime, deed: str, amount: str, unit: str, detail: str) -> None:
        care.append((stamp(at), "cup", deed, amount, unit, detail))

    def read(hour: Hour) -> None:
        water_c = round(cup.water_c / SENSOR_STEP_C) * SENSOR_STEP_C
        values = (
            ("cup-water", f"{water_c:.4f}"),
            ("room-air", f"{hour.room_c:.1f}"),
            ("room-rh", f"{hour.rh_pct:.0f}"),
        )
        tape.extend((stamp(hour.at), probe, value, "") for probe, value in values)

    note(
        FIRST,
        "set",
        "0.25",
        "g",
        f"lot=spring-tin;salt_g_per_l={SALT_G_PER_L:g};volume_ml={MARK_ML:g};light=yes",
    )
    for before, after in pairwise(hours):
        read(before)
        step_through(cup, before, after, lambda at, ml: note(at, "top-up", f"{ml:g}", "ml", "to=mark"))
    read(hours[-1])
    note(LAST, "end", "", "", "")
    write("tape.csv", ("time", "probe", "value", "fault"), tape)
    write("care.csv", ("time", "vessel", "deed", "amount", "unit", "detail"), care)


def step_through(cup: Cup, before: Hour, after: Hour, filled: Callable[[datetime, float], None]) -> None:
    """Take the cup through an hour in short steps, filling it when its time has come."""
    for step in range(round(1.0 / STEP_H)):
        cup.pass_time(STEP_H, *between(before, after, (step + 0.5) * STEP_H))
        began = before.at + timedelta(hours=step * STEP_H)
        if began <= FILL < began + timedelta(hours=STEP_H):
            filled(FILL, cup.fill())


def write(name: str, header: tuple[str, ...], rows: list[tuple[str, ...]]) -> None:
    """Write one CSV file beside this one."""
    with (HERE / name).open("w", newline="", encoding="utf-8") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(header)
        out.writerows(rows)


if __name__ == "__main__":
    main()
