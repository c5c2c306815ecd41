"""Whether the cysts have had their light.

Cysts need light in the first hours after they are wet (FAO 428 [R]); ten minutes have been enough
(Sorgeloos & Persoone 1975 [R, secondary]), and one kept dark waits, for 20 days and more (Van der Linden
et al. 1989 [R]). How many of a lot wait and how many do without is not known, so time in the dark counts
between nothing and all of it.
"""

from copy import copy

from daemon.seconds import HOUR_S

ENOUGH_S = 600
HELD_S = 1800  # a reading holds so long; silence says nothing
# Recorded as `light=no`, without a probe: dark for a night, then somebody came or the sun did [P].
UNLIT_S = 12 * HOUR_S


class Light:
    """Spells of light and dark at one vessel, and what was recorded of the batch."""

    def __init__(self) -> None:
        self._spells: list[tuple[int, int, bool]] = []  # began, last seen, lit

    def copy(self) -> "Light":
        """A copy that goes its own way."""
        twin = copy(self)
        twin._spells = list(self._spells)
        return twin

    def feed(self, at: int, *, lit: bool) -> None:
        """A good reading of light; of two in one second (lux and a share) a lit one counts."""
        last = self._spells[-1] if self._spells else None
        if last is not None and last[1] == at and last[2] and not lit:
            return
        if last is not None and last[0] == at:
            self._spells[-1] = (at, at, lit)
        elif last is not None and last[2] == lit and at - last[1] <= HELD_S:
            self._spells[-1] = (last[0], at, lit)
        else:
            self._spells.append((at, at, lit))

    def forget(self, before: int) -> None:
        """Drop spells that were over by then."""
        self._spells = [spell for spell in self._spells[:-1] if spell[1] >= before] + self._spells[-1:]

    def dark(self, set_at: int, began: int, given: bool | None) -> bool:
        """Whether cysts set then had not had their light when a time began; `given` is `light=yes|no`."""
        if given:
            return False
        lit_s, last_lit = 0, None
        for place, (first, last, lit) in enumerate(self._spells):
            if first > began:
                break
            ends = [began, last + HELD_S] + [spell[0] for spell in self._spells[place + 1 : place + 2]]
            lit_s += max(0, min(ends) - max(first, set_at)) if lit else 0
            last_lit = lit if last + HELD_S >= began else None
        if lit_s >= ENOUGH_S:
            return False
        if last_lit is not None:
            return not last_lit
        return given is False and began - set_at < UNLIT_S
