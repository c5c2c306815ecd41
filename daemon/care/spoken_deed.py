"""A deed as a person says it to the command, in the words that the care log keeps."""

from collections.abc import Sequence

from daemon.care.deed import KINDS
from daemon.care.log import deed_from_fields
from daemon.care.spoken_amount import amount_in_unit, decimal_point
from daemon.errors import InputError
from daemon.input.csv import read_number
from daemon.input.file import shown
from daemon.station import Station


def fields_of(
    station: Station, vessel: str, deed: str, amount: Sequence[str], unit: str | None, detail: str
) -> dict[str, str | None]:
    """Vessel, deed, amount, unit and detail as `deed_from_fields` reads them, and checked by it.

    `amount` are the words said for it, none or several. Raises InputError with a line for every fault.
    """
    kind, place, words = KINDS.get(deed), station.vessel(vessel), " ".join(amount)
    given, kept_in = words or None, (unit if kind is None or unit is not None else kind.unit)
    if kind is not None and place is not None:
        detail = _with_points(deed, detail)
        if words:
            given, kept_in = amount_in_unit(deed, words, unit, _volume_ml(detail) or place.mark_ml)
    try:
        deed_from_fields(0, vessel, deed, given, kept_in or "", detail, station)
    except InputError as error:
        converted = f"amount: found {shown(given)}"  # a person knows what was said, not what it came to
        raise InputError(
            *(fault.replace(converted, f"amount: found {shown(words)}") for fault in error.faults)
        ) from None
    return {"vessel": vessel, "deed": deed, "amount": given, "unit": kept_in or "", "detail": detail}


def _with_points(deed: str, detail: str) -> str:
    """The detail with a decimal point in its numbers; words stay as they are."""
    if not KINDS[deed].numbers:
        return detail
    pairs = [pair.partition("=") for pair in detail.split(";")]
    return ";".join(
        f"{key}{equals}{decimal_point(value) if key.strip() in KINDS[deed].numbers else value}"
        for key, equals, value in pairs
    )


def _volume_ml(detail: str) -> float | None:
    """The volume that a detail gives; None where it gives none that can be read, which is refused later."""
    pairs = (pair.partition("=") for pair in detail.split(";"))
    given = next((value for key, _, value in pairs if key.strip() == "volume_ml"), "")
    try:
        return read_number(given.strip())
    except ValueError:
        return None
