"""The care log: deeds from a CSV or from a person's fields, checked alike, and written back.

Volumes are of one cup of a tray. A log need not be in time order: deeds are sorted by time, and those
of one time keep the order of the file.
"""

from collections.abc import Collection
from datetime import UTC, datetime
from pathlib import Path

from daemon.care.deed import KINDS, Deed, Kind
from daemon.errors import InputError
from daemon.input.csv import MOMENT_ALLOWED, NUMBER_ALLOWED, Faults, read_moment, read_number, read_rows
from daemon.input.file import did_you_mean, shown
from daemon.station import Station, Vessel

HEADER = ("time", "vessel", "deed", "amount", "unit", "detail")
LONGEST_WORD = 80
_MEANT = {"ml": " (of one cup: twice its mark at most)", "fraction": " (50% is 0.5)"}
# 5 g/L have air in vessels under 20 L (FAO Fisheries Technical Paper 428); a multiple of it cannot be meant.
_MOST_CYSTS_G_PER_L = 50.0
LONGEST_TEXT = 1000


def read_care_log(path: Path, station: Station, earliest: int = 0) -> list[Deed]:
    """The deeds in a file, in time order. Raises InputError with file and line for every fault.

    A deed before `earliest` (Unix seconds) is one: it is of no use to who reads the log.
    """
    faults = Faults()
    deeds: list[Deed] = []
    for line, fields in read_rows(path, HEADER, faults):
        try:
            deed = _deed_of_row(fields, station)
            if deed.at < earliest:
                since = datetime.fromtimestamp(earliest, UTC).isoformat()
                raise InputError(f"time: found {shown(fields[0])}; allowed: from {since} on")
            deeds.append(deed)
        except InputError as error:
            for fault in error.faults:
                faults.add(f"{path}:{line}: {fault}")
    faults.raise_any()
    return sorted(deeds, key=lambda deed: deed.at)


def deed_from_fields(
    at: int, vessel: str, deed: str, amount: str | None, unit: str, detail: str, station: Station
) -> Deed:
    """A deed from what a person wrote. Raises InputError with a line for every fault, without a place.

    `at` is Unix seconds; `amount` is None or empty where there is none; `detail` is key=value;key=value.
    """
    kind, place = KINDS.get(deed), station.vessel(vessel)
    faults: list[str] = []
    if place is None:
        faults.append(_wrong_word("vessel", vessel, [v.id for v in station.vessels]))
    if kind is None:
        faults.append(_wrong_word("deed", deed, KINDS))
    if place is None or kind is None:
        raise InputError(*faults)
    number = _amount(kind, place, deed, amount or "", unit, faults)
    details = _detail(kind, place, deed, detail, faults)
    if faults:
        raise InputError(*faults)
    found = Deed(at, vessel, deed, number, details, unit if unit in kind.other_units else None)
    if deed == "salinity":
        _readable(found)
    return found


def format_detail(deed: Deed) -> str:
    """A deed's detail as the care log writes it: what `deed_from_fields` reads back."""
    return ";".join(
        f"{key}={format_number(v) if isinstance(v, float) else v}" for key, v in deed.detail.items()
    )


def format_number(value: float) -> str:
    """A number as a person writes it, exact: 20 for 20.0."""
    return repr(value).removesuffix(".0")


def _deed_of_row(fields: list[str], station: Station) -> Deed:
    time, vessel, deed, amount, unit, detail = fields
    faults: list[str] = []
    at = 0
    try:
        at = read_moment(time)
    except ValueError:
        faults.append(f"time: found {shown(time)}; allowed: {MOMENT_ALLOWED}")
    try:
        checked = deed_from_fields(at, vessel, deed, amount, unit, detail, station)
    except InputError as error:
        raise InputError(*faults, *error.faults) from None
    if faults:
        raise InputError(*faults)
    return checked


def _amount(kind: Kind, vessel: Vessel, deed: str, amount: str, unit: str, faults: list[str]) -> float | None:
    if unit != kind.unit and unit not in kind.other_units:
        allowed = ", ".join((kind.unit, *kind.other_units)) if kind.unit else f"no unit for {deed}"
        faults.append(f"unit: found {shown(unit)}; allowed: {allowed}")
    if not kind.amount:
        if amount:
            faults.append(f"amount: found {shown(amount)}; allowed: no amount for {deed}")
        return None
    most = _most_cysts_g(vessel) if deed == "set" else _most(kind.unit, kind.most, vessel)
    span = kind.other_units.get(unit, (kind.least, most))
    number = _number("amount", amount, span, unit or kind.unit, faults)
    if deed == "cover" and number not in {0, 1, None}:
        faults.append(f"amount: found {shown(amount)}; allowed: 1 (put on) or 0 (taken off)")
    return number


def _readable(deed: Deed) -> None:
    """Raises InputError for a reading that no brine has on that scale."""
    # Nothing but a measured salinity asks for the law of an instrument.
    from daemon.care.measured_salinity import measured_salinity
    from daemon.science.valid_range import OutOfRange

    try:
        measured_salinity(deed)
    except OutOfRange as error:
        allowed = f"{error.low:.4g} to {error.high:.4g} {deed.unit} in such water"
        raise InputError(f"amount: found {format_number(deed.amount or 0.0)}; allowed: {allowed}") from None


def _most_cysts_g(vessel: Vessel) -> float:
    """Ten times what has air in vessels under 20 L: more is of the whole tray, in mg, or mistyped."""
    return round(_MOST_CYSTS_G_PER_L * 2 * vessel.mark_ml / 1000, 3)


def _most(unit: str, most: float, vessel: Vessel) -> float:
    """No cup holds more than twice its mark: a larger volume is of the whole tray, or mistyped."""
    return min(most, 2 * vessel.mark_ml) if unit == "ml" else most


def _number(name: str, text: str, span: tuple[float, float], unit: str, faults: list[str]) -> float | None:
    try:
        value = read_number(text)
    except ValueError:
        faults.append(f"{name}: found {shown(text)}; allowed: {NUMBER_ALLOWED}")
        return None
    if not span[0] <= value <= span[1]:
        measure = f" {unit}{_MEANT.get(unit, '')}"
        faults.append(f"{name}: found {shown(text)}; allowed: {span[0]:g} to {span[1]:.10g}{measure}")
        return None
    return value


def _detail(kind: Kind, vessel: Vessel, deed: str, text: str, faults: list[str]) -> dict[str, float | str]:
    details: dict[str, float | str] = {}
    for key, value in _pairs(kind, text, faults):
        if key in details:
            faults.append(f"detail: found {key} twice; allowed: every key once")
        elif key in kind.numbers:
            unit = "ml" if key.endswith("_ml") else key.partition("_")[2]
            low, high = kind.numbers[key]
            number = _number(f"detail {key}", value, (low, _most(unit, high, vessel)), unit, faults)
            details[key] = 0.0 if number is None else number
        elif key in kind.words:
            details[key] = _word(key, value, kind.words[key], faults)
        else:
            faults.append(_wrong_key(deed, key, [*kind.numbers, *kind.words]))
    faults.extend(
        f"detail: found no {key}; allowed: {key}=… for {deed}" for key in sorted(kind.needs - set(details))
    )
    return details


def _pairs(kind: Kind, text: str, faults: list[str]) -> list[tuple[str, str]]:
    # A note is one text: everything in it, also a semicolon, is a person's words.
    pieces = [text] if None in kind.words.values() and len(kind.words) == 1 else text.split(";")
    if pieces[-1].strip() == "":
        pieces.pop()
    pairs = []
    for piece in pieces:
        key, equals, value = piece.partition("=")
        if equals:
            pairs.append((key.strip(), value.strip()))
        else:
            faults.append(f"detail: found {shown(piece)}; allowed: key=value pairs joined by ;")
    return pairs


def _word(key: str, value: str, choices: frozenset[str] | None, faults: list[str]) -> str:
    longest = LONGEST_TEXT if key == "text" else LONGEST_WORD
    if choices is not None and value not in choices:
        faults.append(_wrong_word(f"detail {key}", value, sorted(choices)))
    elif choices is None and not (value and value.isprintable() and len(value) <= longest):
        allowed = f"one line of text, 1 to {longest} characters"
        faults.append(f"detail {key}: found {shown(value)}; allowed: {allowed}")
    return value


def _wrong_key(deed: str, key: str, known: list[str]) -> str:
    if not known:
        return f"detail: found {shown(key)}; allowed: no detail for {deed}"
    return _wrong_word("detail", key, known)


def _wrong_word(where: str, found: str, known: Collection[str]) -> str:
    hint = did_you_mean(found.lower(), known) if len(found) <= 60 else ""
    return f"{where}: found {shown(found)}{hint}; allowed: {', '.join(known)}"
