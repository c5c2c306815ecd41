"""Which boxes are under way, and when one goes again."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass

from daemon.store.outbox import Owed

MOST_UNDER_WAY = 20
_AGAIN_S, _AGAIN_MOST_S = 60, 900
# A line that breaks as soon as something is sent must not be kept busy by it.
_RENEWED_S = 60


@dataclass
class _SentBox:
    """A box that was sent: when last, in monotonic seconds, and how often."""

    owed: Owed
    at_s: float
    times: int = 1


class Window:
    """The boxes that wait for a receipt; at most `MOST_UNDER_WAY`, whatever is owed."""

    def __init__(self) -> None:
        self._ways: dict[int, _SentBox] = {}
        self._connection = 0
        self._all_again = False
        self._renewed_s = -float(_RENEWED_S)

    @property
    def numbers(self) -> frozenset[int]:
        """Of which boxes a receipt is awaited."""
        return frozenset(self._ways)

    @property
    def room(self) -> int:
        """How many more may go."""
        return MOST_UNDER_WAY - len(self._ways)

    def add(self, boxes: Iterable[Owed], now_s: float) -> None:
        """These go now."""
        self._ways.update((box.n, _SentBox(box, now_s)) for box in boxes)

    def drop(self, numbers: Collection[int]) -> None:
        """Of these nothing is awaited any more."""
        for n in numbers:
            self._ways.pop(n, None)

    def again(self, connection: int, now_s: float) -> list[Owed]:
        """What goes once more: all over a new connection, else each after a pause that grows."""
        if connection != self._connection:
            self._connection, self._all_again = connection, True
        every = self._all_again and now_s - self._renewed_s >= _RENEWED_S
        if every and self._ways:
            self._renewed_s = now_s
        self._all_again = self._all_again and not every
        found = [way for way in self._ways.values() if every or now_s - way.at_s >= _pause_s(way.times)]
        for way in found:
            way.at_s, way.times = now_s, way.times + 1
        return [way.owed for way in found]


def _pause_s(times: int) -> float:
    return float(min(_AGAIN_S << min(times - 1, 10), _AGAIN_MOST_S))
