"""What must agree between keys of a station file: volumes and surface, limits, probes and vessels."""

from collections.abc import Mapping
from typing import Any

from daemon.config.checks import fault
from daemon.config.drivers import takes_up
from daemon.input.file import shown
from sensors.reading import Measure

# Depth of water that a mark and a surface may stand for; outside it one of them is in a wrong unit.
DEPTH_CM = (0.2, 150.0)


def check_volumes(values: Mapping[str, Any], path: str, faults: list[str]) -> None:
    """A vessel's mark, surface, low mark, brim and rim against each other."""
    mark, surface, rim = (values.get(key) for key in ("mark_ml", "surface_cm2", "rim_above_water_cm"))
    if mark and surface and not DEPTH_CM[0] <= mark / surface <= DEPTH_CM[1]:
        low, high = mark / DEPTH_CM[1], mark / DEPTH_CM[0]
        allowed = f"{low:.4g} to {high:.4g} cm² for a mark of {mark:g} ml"
        faults.append(fault(f"{path}.surface_cm2", shown(surface), allowed))
    if mark and values.get("low_ml", 0) >= mark:
        faults.append(fault(f"{path}.low_ml", shown(values["low_ml"]), f"less than mark_ml ({mark:g})"))
    if mark and values.get("brim_ml", 0) > mark:
        faults.append(fault(f"{path}.brim_ml", shown(values["brim_ml"]), f"up to mark_ml ({mark:g})"))
    if mark and (values.get("float_ml") or 0.0) >= mark:
        faults.append(fault(f"{path}.float_ml", shown(values["float_ml"]), f"less than mark_ml ({mark:g})"))
    if rim is not None and surface and values.get("brim_ml", 0) > rim * surface * 1.001:
        allowed = f"up to rim_above_water_cm times surface_cm2 ({rim * surface:.4g})"
        faults.append(fault(f"{path}.brim_ml", shown(values["brim_ml"]), allowed))


def check_warmth(values: Mapping[str, Any], path: str, faults: list[str]) -> None:
    """The cold limit below the hot one, and what a heater holds between them."""
    if "cold_c" in values and "hot_c" in values and values["cold_c"] >= values["hot_c"]:
        allowed = f"less than hot_c ({values['hot_c']:g} °C)"
        faults.append(fault(f"{path}.cold_c", shown(values["cold_c"]), allowed))
        return
    heater_c, cold_c, hot_c = (values.get(key) for key in ("heater_c", "cold_c", "hot_c"))
    # A heater set beyond a limit would be told of every night: one of the two is not what was meant.
    if heater_c is None or cold_c is None or hot_c is None:
        return
    if not cold_c < heater_c < hot_c:
        allowed = f"more than cold_c ({cold_c:g} °C) and less than hot_c ({hot_c:g} °C)"
        faults.append(fault(f"{path}.heater_c", shown(heater_c), allowed))


def check_probes(probes: Mapping[str, Mapping[str, Any]], faults: list[str]) -> None:
    """Every probe with an id and hardware of its own; keyed by path, what was faulty before is missing."""
    _refuse_doubles(probes, faults)
    first: dict[tuple[object, ...], str] = {}
    for path, probe in probes.items():
        place = takes_up(probe)
        if place is None or None in place:
            continue
        if place in first:
            found = " ".join(str(part) for part in place)
            faults.append(fault(path, f"{found}, which {first[place]} has already", "every device once"))
        first.setdefault(place, path)


def check_vessels(
    vessels: Mapping[str, Mapping[str, Any]], probes: Mapping[str, Mapping[str, Any]], faults: list[str]
) -> None:
    """Every vessel with an id of its own, and probes that the file has and that fit."""
    _refuse_doubles(vessels, faults)
    named = [probe for probe in probes.values() if "id" in probe]
    measures = {probe["id"]: probe.get("measures") for probe in reversed(named)}  # of doubles the first
    # An id that is faulty itself cannot be named rightly: that mistake is said once, at the probe.
    all_named = len(named) == len(probes)
    for path, vessel in vessels.items():
        its = vessel.get("probes", ())
        for place, probe in enumerate(its, start=1):
            if probe not in measures and all_named:
                allowed = "the id of a [[probe]]: " + (", ".join(p["id"] for p in named) or "none is told")
                faults.append(fault(f"{path}.probes[{place}]", shown(probe), allowed))
        if its and all(measures.get(probe) for probe in its):
            _check_measures(path, [(probe, measures[probe]) for probe in its], faults)


def _refuse_doubles(tables: Mapping[str, Mapping[str, Any]], faults: list[str]) -> None:
    first: dict[str, str] = {}
    for path, table in tables.items():
        if (table_id := table.get("id")) is None:
            continue
        if table_id in first:
            faults.append(
                fault(f"{path}.id", f"{shown(table_id)}, the id of {first[table_id]}", "an id of its own")
            )
        first.setdefault(table_id, path)


def _check_measures(path: str, probes: list[tuple[str, Any]], faults: list[str]) -> None:
    seen: dict[str, str] = {}
    for probe, measures in probes:
        if measures in seen:
            found = f"{seen[measures]} and {probe}, which both measure {measures}"
            faults.append(fault(f"{path}.probes", found, "one probe for each measure"))
        seen.setdefault(measures, probe)
    if Measure.WATER_C not in seen:
        faults.append(fault(f"{path}.probes", "no probe that measures water_c", "one that does"))


def check_salinity(values: Mapping[str, Any], path: str, faults: list[str]) -> None:
    """The two limits of salinity against each other."""
    low, high = values.get("salinity_low_g_per_kg"), values.get("salinity_high_g_per_kg")
    if low is not None and high is not None and low >= high:
        found = f"{low:g} with salinity_high_g_per_kg {high:g}"
        faults.append(fault(f"{path}.salinity_low_g_per_kg", found, "less than salinity_high_g_per_kg"))
