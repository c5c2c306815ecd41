"""How a physics record says which numbers a story may give it."""

from dataclasses import field
from typing import Any


def keyed(default: float, low: float, high: float) -> Any:
    """A dataclass field that a story may set, with its default and the range allowed."""
    return field(default=default, metadata={"low": low, "high": high})
