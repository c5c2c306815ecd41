"""The tables `[[lot]]`: what is known of a purchase of cysts before any was hatched."""

from datetime import date
from typing import Any

from daemon.config.checks import Key, Refused, fault, one_of, read_table, text
from daemon.input.file import shown
from daemon.science.strains import STRAINS, UNKNOWN
from daemon.station import LotPlan

DATE_ALLOWED = "a day as YYYY-MM-DD, years 2000 to 2199"


def _day(value: object) -> date:
    # TOML has dates of its own, without quotes; both are taken. A TOML date with a time is no day.
    if type(value) is date:
        day = value
    else:
        try:
            day = date.fromisoformat(value if isinstance(value, str) and len(value) == 10 else "")
        except ValueError:
            raise Refused(shown(value), DATE_ALLOWED) from None
    if not 2000 <= day.year <= 2199:
        raise Refused(shown(value), DATE_ALLOWED)
    return day


LOT_KEYS: dict[str, Key] = {
    "id": Key(text(80)),
    "strain": Key(one_of(*STRAINS), UNKNOWN.name),
    "opened": Key(_day, None),
}


def read_lots(raw: object, faults: list[str]) -> tuple[LotPlan, ...]:
    """The checked tables; those with a fault are missing."""
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
