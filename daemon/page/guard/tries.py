"""How often a PIN may be tried, so that nobody finds it and no child locks the teacher out.

Three things are counted, all of them tries that were looked at; one that came too early costs nobody
anything.

* **Each visitor** waits longer after each wrong try in a row: 5 s, 15 s, 45 s, 2 min, 5 min, then 15 min.
  A visitor is a device that was signed in under this PIN before, by a cookie nobody can make up, or else
  an address.
* **All strangers together** have five tries, and one more every three minutes: 480 a day.
* **Newcomers**, addresses without a wrong try within a day, have twenty besides, and one more every three
  minutes: another 480.

So the million PINs of six digits take 960 tries a day 521 days on average; the ten thousand of four take
five. Who hammers away spends the strangers' tries, and those of his own address. A device that was signed
in before spends neither: it has its own waits, whatever others do. A teacher with a new phone is a
newcomer, and is let try at once beside ten who hammer. Only where somebody changes addresses twenty times
an hour, or shares one with the teacher, may a new phone have to wait; setting the PIN (`naupliad page
pin`) ends every wait.

What is remembered is bounded by what may be tried: within a day 1,000 addresses, whoever comes.
"""

from dataclasses import dataclass, field
from math import isfinite
from typing import Any

from daemon.seconds import DAY_S

WAITS_S = (5, 15, 45, 120, 300, 900)  # after the first wrong try in a row, the second …


@dataclass(slots=True)
class Allowance:
    """So many tries at once, and one more every `every_s`; `full_at` is when all of them are there again."""

    at_once: int
    every_s: float
    full_at: float = 0.0

    def wait_s(self, now: float) -> float:
        """Seconds until a try is there; 0 where one is."""
        # A clock that was put back must not leave anybody waiting longer than the emptied allowance does.
        self.full_at = min(self.full_at, now + self.at_once * self.every_s)
        return max(self.full_at - now - (self.at_once - 1) * self.every_s, 0.0)

    def take(self, now: float) -> None:
        """One try less."""
        self.full_at = max(self.full_at, now) + self.every_s


@dataclass(slots=True)
class Visitor:
    """Wrong tries in a row, and until when (Unix seconds) the next one waits."""

    wrong: int = 0
    until: float = 0.0


@dataclass(slots=True)
class Tries:
    """Who may try now. `pin` is the id of the PIN that is tried: with another one all counts begin anew."""

    pin: str = ""
    visitors: dict[str, Visitor] = field(default_factory=dict)
    strangers: Allowance = field(default_factory=lambda: Allowance(5, 180.0))
    newcomers: Allowance = field(default_factory=lambda: Allowance(20, 180.0))

    def admit(self, pin: str, visitor: str, *, known: bool, now: float) -> float:
        """0 where a try may be looked at: it counts as wrong until `was_right`. Else the seconds to wait.

        `visitor` is a device's id where it is `known`, else an address. Both must not be alike.
        """
        if pin != self.pin:
            self._begin_anew(pin)
        before = self.visitors.get(visitor)
        if before is not None and now < before.until:
            before.until = min(before.until, now + WAITS_S[-1])  # the clock may have been put back
            return before.until - now
        if not known and (wait_s := self._take(before is None, now)):
            return wait_s
        self._forget(now)
        this = self.visitors.setdefault(visitor, Visitor())
        this.wrong += 1
        this.until = now + WAITS_S[min(this.wrong, len(WAITS_S)) - 1]
        return 0.0

    def was_right(self, visitor: str) -> None:
        """The try that was admitted last was the PIN."""
        self.visitors.pop(visitor, None)

    def _take(self, is_new: bool, now: float) -> float:
        allowances = (self.newcomers, self.strangers) if is_new else (self.strangers,)
        waits = [allowance.wait_s(now) for allowance in allowances]
        if 0.0 in waits:
            allowances[waits.index(0.0)].take(now)
            return 0.0
        return min(waits)

    def _forget(self, now: float) -> None:
        for name, visitor in list(self.visitors.items()):
            visitor.until = min(visitor.until, now + WAITS_S[-1])
            if now - visitor.until > DAY_S:
                del self.visitors[name]

    def _begin_anew(self, pin: str) -> None:
        self.pin = pin
        self.visitors.clear()
        self.strangers.full_at = self.newcomers.full_at = 0.0

    def words(self) -> dict[str, Any]:
        """What has to be kept, for JSON."""
        return {
            "pin": self.pin,
            "visitors": {name: [visitor.wrong, visitor.until] for name, visitor in self.visitors.items()},
            "strangers": self.strangers.full_at,
            "newcomers": self.newcomers.full_at,
        }


def tries_of(words: object) -> Tries:
    """What was kept; nothing where it cannot be made out."""
    tries = Tries()
    try:
        kept: Any = words
        visitors = {str(name): Visitor(int(n), float(until)) for name, (n, until) in kept["visitors"].items()}
        full = float(kept["strangers"]), float(kept["newcomers"])
        moments = (*full, *(visitor.until for visitor in visitors.values()))
        if not all(map(isfinite, moments)) or any(visitor.wrong < 1 for visitor in visitors.values()):
            return Tries()
        tries.pin, tries.visitors = str(kept["pin"]), visitors
        tries.strangers.full_at, tries.newcomers.full_at = full
    except (AttributeError, KeyError, TypeError, ValueError, OverflowError):
        return Tries()
    return tries
