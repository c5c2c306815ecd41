"""What stands in a table's cell: moments by two clocks, exact numbers, text that is no formula."""

import math
import re
from datetime import UTC, datetime
from functools import lru_cache
from zoneinfo import ZoneInfo

from daemon.care.log import format_number

# By what spreadsheet programs take a cell for a formula, also in full width. One that expects semicolons or
# tabs between columns begins a cell behind each. OWASP, "CSV Injection" [M].
_FORMULA = r"=+\-@\t\r＝＋－＠"
_BEGIN = r"(?:^|(?<=[;\t\r\n]))"
_UNGUARDED = re.compile(rf"{_BEGIN}(?=[\s']*[{_FORMULA}])")
# As the store's own rule has it: up to the year 2242.
_MOST_S = 8_589_934_592


def guarded(text: str) -> str:
    """Text with an apostrophe before what would be a formula, wherever a cell may begin in it."""
    return _UNGUARDED.sub("'", text)


def number(value: float | None) -> str:
    """A number that reads back as the very same, as Table Schema writes them; empty for None."""
    if value is None:
        return ""
    if not math.isfinite(value):
        return "NaN" if math.isnan(value) else "INF" if value > 0 else "-INF"
    return format_number(value)


class BothClocks:
    """Moments by UTC and by the station's clock, RFC 3339; what many rows share is written out once."""

    def __init__(self, zone: ZoneInfo) -> None:
        """By the clock of this zone."""
        self._written = lru_cache(maxsize=64)(lambda at: _both(at, zone))

    def cells(self, at: float | None) -> tuple[str, str]:
        """A moment (Unix s) by UTC and by the local clock with its offset; both empty where there is none."""
        return ("", "") if at is None or not abs(at) <= _MOST_S else self._written(round(at))


def _both(at: int, zone: ZoneInfo) -> tuple[str, str]:
    utc = datetime.fromtimestamp(at, UTC)
    return f"{utc.isoformat()[:-6]}Z", utc.astimezone(zone).isoformat()
