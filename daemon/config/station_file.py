"""The station file: station.toml to a `Station`, or every fault in it, a line each.

Paths count tables and list entries from 1: `vessel[1]` is the first vessel.
"""

from datetime import date
from pathlib import Path
from typing import Any

from daemon.config.checks import (
    ABSENT,
    Key,
    Refused,
    fault,
    identifier,
    listed,
    number,
    one_of,
    read_table,
    text,
    timezone,
    unknown_key,
    whole,
)
from daemon.config.cross_checks import (
    check_probes,
    check_salinity,
    check_vessels,
    check_volumes,
    check_warmth,
)
from daemon.config.drivers import (
    DRIVERS,
    PROBE_KEYS,
    driver_keys,
    mismatch,
    scale_mismatch,
    with_file_beside,
)
from daemon.config.hours_syntax import (
    AWAY_ALLOWED,
    DAILY_ALLOWED,
    WEEKLY_ALLOWED,
    away,
    daily,
    weekly,
)
from daemon.config.indicator import read_indicator
from daemon.config.ways_out import letters_as_files, read_alive, read_mqtt, read_post, read_webhook
from daemon.errors import InputError
from daemon.input.file import read_text, shown
from daemon.input.toml import read_toml
from daemon.science.strains import STRAINS, UNKNOWN
from daemon.station import STORED, LotPlan, PagePlan, ProbePlan, Station, Vessel
from sensors.reading import Measure

TABLES = ("station", "probe", "vessel", "lot", "post", "webhook", "mqtt", "alive", "page", "indicator")
RIM_ABOVE_WATER_CM = 1.0
# Beliefs read 90 days back (watching.old_hatches); ten more for a clock that is put back.
KEEP_LEAST_DAYS = 100
_DAY_ALLOWED = "a day as YYYY-MM-DD, years 2000 to 2199"


def _day(value: object) -> date:
    # TOML has dates of its own, without quotes; both are taken. A TOML date with a time is no day.
    if type(value) is date:
        day = value
    else:
        try:
            day = date.fromisoformat(value if isinstance(value, str) and len(value) == 10 else "")
        except ValueError:
            raise Refused(shown(value), _DAY_ALLOWED) from None
    if not 2000 <= day.year <= 2199:
        raise Refused(shown(value), _DAY_ALLOWED)
    return day


STATION_KEYS: dict[str, Key] = {
    "name": Key(text(80)),
    "timezone": Key(timezone),
    "attended": Key(listed(weekly, f"a list of {WEEKLY_ALLOWED}"), ()),
    "away": Key(listed(away, f"a list of {AWAY_ALLOWED}"), ()),
    "sample_every_s": Key(whole(5, 3600, "s"), 60),
    "temperature_unit": Key(one_of("C", "F"), "C"),
    "language": Key(one_of("en", "de"), "en"),
    "keep_readings_days": Key(whole(KEEP_LEAST_DAYS, 4000, "days"), 400),
    "no_names": Key(listed(identifier, "a list of ids of vessels and probes"), ()),
}
VESSEL_KEYS: dict[str, Key] = {
    "id": Key(identifier),
    "count": Key(whole(1, 500), 1),
    "kind": Key(one_of("cup", "jar", "cone"), "cup"),
    "mark_ml": Key(number(1, 100_000)),
    "surface_cm2": Key(number(0.5, 20_000)),
    "low_ml": Key(number(0.1, 100_000)),
    "brim_ml": Key(number(0, 100_000), 0.0),
    "rim_above_water_cm": Key(number(0, 50), ABSENT),
    "float_ml": Key(number(0, 100_000), None),
    "probes": Key(listed(identifier, "a list of 1 to 20 probe ids", at_least=1, at_most=20)),
    "cold_c": Key(number(0, 40, "°C"), 20.0),
    "hot_c": Key(number(0, 45, "°C"), 30.0),
    "lamp": Key(listed(daily, f"a list of {DAILY_ALLOWED}"), ()),
    "low_light_lux": Key(number(0, 100_000), 200.0),
    "low_light_fraction": Key(number(0, 1), 0.2),
    "heater_c": Key(number(15, 35, "°C"), None),
    "air_l_per_min": Key(number(0, 20, "L/min"), None),
    "swing_k": Key(number(1, 40, "K"), 10.0),
    "watch": Key(one_of("always", "batch"), "always"),
    "salinity_low_g_per_kg": Key(number(0, 200, "g/kg"), 10.0),
    "salinity_high_g_per_kg": Key(number(0, 200, "g/kg"), 45.0),
}
LOT_KEYS: dict[str, Key] = {
    "id": Key(text(80)),
    "strain": Key(one_of(*STRAINS), UNKNOWN.name),
    "opened": Key(_day, None),
    "stored": Key(one_of(*STORED), ""),
    "mass_g": Key(number(0.1, 100_000, "g"), None),
    "cysts_per_g": Key(number(100_000, 500_000, "cysts/g"), None),
}


def read_station(path: Path) -> Station:
    """The station that a file describes. Raises InputError with a line for every fault."""
    return parse_station(read_text(path), str(path))


def parse_station(text: str, name: str) -> Station:
    """The station that a text describes; `name` is the file's path, for messages and for tapes beside it.

    Raises InputError with a line for every fault: file, key, what was found, what is allowed.
    """
    raw = read_toml(text, name)
    faults = [unknown_key(table, TABLES) for table in raw if table not in TABLES]
    station = read_table(raw.get("station", {}), STATION_KEYS, "station", faults)
    probes = {path: _read_probe(entry, path, faults) for path, entry in _entries(raw, "probe", faults)}
    check_probes(probes, faults)
    vessels = {path: _read_vessel(entry, path, faults) for path, entry in _entries(raw, "vessel", faults)}
    check_vessels(vessels, probes, faults)
    lots = _read_lots(raw["lot"], faults) if "lot" in raw else ()
    post = read_post(raw["post"], faults) if "post" in raw else None
    indicator = read_indicator(raw["indicator"], probes, faults) if "indicator" in raw else None
    webhook = read_webhook(raw["webhook"], faults) if "webhook" in raw else None
    mqtt = read_mqtt(raw["mqtt"], faults) if "mqtt" in raw else None
    alive = read_alive(raw["alive"], faults) if "alive" in raw else None
    page = _read_page(raw["page"], faults) if "page" in raw else PagePlan()
    if faults or page is None:
        raise InputError(*(f"{name}: {line}" for line in faults))
    return Station(
        probes=tuple(_probe(values, Path(name).parent) for values in probes.values()),
        vessels=tuple(_vessel(values) for values in vessels.values()),
        post=post or letters_as_files(),
        indicator=indicator,
        webhook=webhook,
        mqtt=mqtt,
        alive=alive,
        page=page,
        lots=lots,
        **station,
    )


def _entries(raw: dict[str, Any], table: str, faults: list[str]) -> list[tuple[str, Any]]:
    """The entries of an array of tables, each with its path."""
    entries = raw.get(table, [])
    if not isinstance(entries, list):
        faults.append(fault(table, shown(entries), f"tables under [[{table}]], with two brackets"))
        return []
    if not entries:
        faults.append(fault(table, "none", f"at least one [[{table}]]"))
    return [(f"{table}[{place}]", entry) for place, entry in enumerate(entries, start=1)]


def _read_probe(raw: Any, path: str, faults: list[str]) -> dict[str, Any]:
    given = raw if isinstance(raw, dict) else {}
    driver = next((driver for driver in DRIVERS if driver == given.get("driver")), None)
    measures = next((measure for measure in Measure if measure == given.get("measures")), None)
    if driver is not None:
        keys = driver_keys(driver, measures)
    else:
        # Without a known driver nobody can say which keys are right: only those of no driver are wrong.
        keys = {
            name: Key(lambda value: value, ABSENT) for known in DRIVERS for name in driver_keys(known, None)
        }
    values = read_table(raw, {**PROBE_KEYS, **keys}, path, faults)
    if driver and measures and (wrong := mismatch(driver, measures, values, path)):
        faults.append(wrong)
    if driver and (wrong := scale_mismatch(given, values, path)):
        faults.append(wrong)
    return values


def _read_vessel(raw: Any, path: str, faults: list[str]) -> dict[str, Any]:
    values = read_table(raw, VESSEL_KEYS, path, faults)
    check_volumes(values, path, faults)
    check_salinity(values, path, faults)
    check_warmth(values, path, faults)
    return values


def _read_page(raw: object, faults: list[str]) -> PagePlan | None:
    from daemon.config.page import read_page  # most commands and many stations have no use for it

    return read_page(raw, faults)


def _read_lots(raw: object, faults: list[str]) -> tuple[LotPlan, ...]:
    """The lots; those with a fault are missing."""
    if not isinstance(raw, list):
        faults.append(fault("lot", shown(raw), "tables under [[lot]], with two brackets"))
        return ()
    found: dict[str, tuple[str, dict[str, Any]]] = {}
    for place, entry in enumerate(raw, start=1):
        path, before = f"lot[{place}]", len(faults)
        values = read_table(entry, LOT_KEYS, path, faults)
        if (lot_id := values.get("id")) in found:
            faults.append(
                fault(f"{path}.id", f"{shown(lot_id)}, the id of {found[lot_id][0]}", "an id of its own")
            )
        if len(faults) == before:
            found[values["id"]] = (path, values)
    return tuple(LotPlan(**values) for _, values in found.values())


def _probe(values: dict[str, Any], folder: Path) -> ProbePlan:
    keys = {name: value for name, value in values.items() if name not in PROBE_KEYS}
    return ProbePlan(
        values["id"], Measure(values["measures"]), values["driver"], with_file_beside(keys, folder)
    )


def _vessel(values: dict[str, Any]) -> Vessel:
    # The brim may be filled to, so the rim is above it even where nobody measured it.
    rim = max(RIM_ABOVE_WATER_CM, values["brim_ml"] / values["surface_cm2"])
    return Vessel(**{"rim_above_water_cm": rim, **values})
