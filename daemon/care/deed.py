"""A deed: something a person did to a vessel."""

from collections.abc import Mapping
from dataclasses import dataclass, field

YES_NO = frozenset({"yes", "no"})


@dataclass(frozen=True, slots=True)
class Kind:
    """What a deed's entry may hold.

    `amount` says whether it has one (then it must be given), `unit` the unit it is given in, `least` and
    `most` its range; `other_units` are others it may be given in, with their ranges. Amounts in ml, and the
    detail's `volume_ml` and `above_ml`, are of one cup, and held against the vessel's size instead. `numbers`
    are the detail's numbers with their ranges, `words` its texts with the choices (None: any text), `needs`
    the keys that must be given.
    """

    amount: bool = False
    unit: str = ""
    least: float = 0.0
    most: float = 100_000.0
    numbers: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    words: Mapping[str, frozenset[str] | None] = field(default_factory=dict)
    needs: frozenset[str] = frozenset()
    other_units: Mapping[str, tuple[float, float]] = field(default_factory=dict)


# Ranges hold what is plausible in a classroom; salt stops short of saturation (about 360 g/L of NaCl).
_SALT = {"salt_g_per_l": (0.0, 300.0)}
_VOLUME = (0.0, 100_000.0)
_SCALE_C = (5.0, 35.0)  # where densities of brine are known: daemon/science/hydrometer.py

KINDS: dict[str, Kind] = {
    "set": Kind(True, "g", 0, 1000, {**_SALT, "volume_ml": _VOLUME}, {"lot": None, "light": YES_NO}),
    "top-up": Kind(True, "ml", numbers={"above_ml": _VOLUME}, words={"to": frozenset({"mark"})}),
    "brine": Kind(True, "ml", numbers=_SALT),
    "remove": Kind(True, "ml"),
    "cover": Kind(True, "", 0, 1),
    "stir": Kind(),
    "feed": Kind(True, "g", 0, 1000, words={"food": frozenset({"yeast", "spirulina", "other"})}),
    "first-swimmer": Kind(),
    "hatched": Kind(True, "fraction", 0, 1),
    "count": Kind(True, "animals", 0, 1e8, {"volume_ml": _VOLUME, "of_cysts": (1.0, 1e8)}),
    "salinity": Kind(
        True,
        "g_per_kg",
        0,
        200,
        {"water_c": _SCALE_C, "scale_c": _SCALE_C, "reference_c": _SCALE_C},
        {"with": frozenset({"hydrometer", "refractometer"})},
        other_units={"sg": (0.98, 1.06)},
    ),
    "harvest": Kind(True, "ml"),
    "note": Kind(words={"text": None}, needs=frozenset({"text"})),
    "end": Kind(),
}


@dataclass(frozen=True, slots=True)
class Deed:
    """One entry of the care log, already checked: `amount` is in the unit `KINDS` gives the deed.

    Where it was given in another that the deed allows, `other_unit` says which. `at` is whole Unix seconds,
    UTC; numbers in `detail` are floats, words are strings.
    """

    at: int
    vessel: str
    deed: str
    amount: float | None = None
    detail: Mapping[str, float | str] = field(default_factory=dict)
    other_unit: str | None = None

    @property
    def unit(self) -> str:
        """The unit of its amount; empty where it has none."""
        return self.other_unit or KINDS[self.deed].unit

    def number(self, key: str) -> float | None:
        """A number from the detail, or None where it was not given."""
        value = self.detail.get(key)
        return value if isinstance(value, float) else None

    @property
    def level_given(self) -> bool:
        """Whether it says where the water stood afterwards: at the mark, or so far above it."""
        return "above_ml" in self.detail or self.detail.get("to") == "mark"
