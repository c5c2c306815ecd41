"""Keeps, beside a vessel's beliefs, what they were computed from and who taught them what."""

from collections.abc import Mapping

from daemon.care.deed import Deed
from daemon.estimates.grounds import Grounds, Ledger, Lesson
from daemon.estimates.quantile import Estimate
from daemon.estimates.stretch import Stretch

WATER, SALT, HATCH, WARMTH = "water", "salt", "hatch", "warmth"  # the models, as science.md names them
QUANTITIES = {
    WATER: ("loss_ml", "loss_ml_per_day", "low_mark_at"),
    SALT: ("salinity_g_per_kg",),
    HATCH: ("hatched_fraction", "hatchable_share", "hatch_t10", "hatch_t50", "hatch_t90"),
    WARMTH: ("water_c_min_next_16h", "water_c_max_next_16h"),
}
HARVEST = ("harvest_opens_at", "harvest_closes_at")
_TEACH = {
    WATER: ("top-up", "salinity", "float"),
    SALT: ("set", "brine", "remove", "harvest", "salinity"),
    HATCH: ("first-swimmer", "hatched", "count"),
}


class Grounding:
    """Feed what the beliefs are fed with."""

    def __init__(self) -> None:
        self._ledgers = {model: Ledger() for model in QUANTITIES}

    def copy(self) -> "Grounding":
        """A copy that goes its own way."""
        twin = Grounding()
        twin._ledgers = {model: ledger.copy() for model, ledger in self._ledgers.items()}
        return twin

    def stretch(self, stretch: Stretch) -> None:
        """A stretch of time with the water's warmth."""
        for ledger in self._ledgers.values():
            ledger.stretch(stretch)

    def deed(self, deed: Deed) -> None:
        """A deed; a top-up teaches where it was to a known level. A new batch begins new records."""
        if deed.deed == "set":
            for model, ledger in self._ledgers.items():
                if model in (SALT, HATCH):
                    self._ledgers[model] = ledger = Ledger()
                if model != WARMTH:
                    ledger.restart(deed.at)
        if deed.deed != "top-up" or deed.level_given:
            self.learned(deed.deed, deed.at)

    def learned(self, kind: str, at: int) -> None:
        """Something was observed that some models learn from."""
        for model, kinds in _TEACH.items():
            if kind in kinds:
                self._ledgers[model].lesson(kind, at)

    def grounds(
        self, knowns: Mapping[str, Mapping[str, Estimate]], lot: Lesson | None, *, cone: bool
    ) -> list[Grounds]:
        """The grounds of every quantity, by model; `lot` is what other batches of the lot taught."""
        return [
            ledger.grounds(
                model,
                QUANTITIES[model] + (HARVEST if cone and model == HATCH else ()),
                _TEACH.get(model, ()),
                knowns[model],
                (lot,) if lot is not None and model == HATCH else (),
            )
            for model, ledger in self._ledgers.items()
        ]
