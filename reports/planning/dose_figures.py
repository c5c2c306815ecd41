"""The figures that a dose card is made from: plain records. Grams and mL are of one vessel."""

from dataclasses import dataclass

from reports.planning.warned import AlarmedTin, UnknownTin
from reports.records import Range


@dataclass(frozen=True, slots=True)
class SaltSpoons:
    """Spoons for an amount of salt, and the grams they may hold; `spoon` is such as "level-teaspoon"."""

    spoon: str
    number: float
    low_g: float
    high_g: float


@dataclass(frozen=True, slots=True)
class SaltBySpoon:
    """Of one grain: the spoons for one vessel and for all of them; None where no whole spoons are near."""

    grain: str
    one: SaltSpoons | None
    every: SaltSpoons | None


@dataclass(frozen=True, slots=True)
class CystFigures:
    """Cysts of one vessel: how they were asked for (`way`, `amount`), what is taken, what it holds and gives.

    `sure_g`, or `sure_cysts`, is of wanted animals: so many hatch at least, nine times in ten.
    """

    way: str
    amount: float
    taken_g: float
    sure_g: float
    sure_cysts: float
    cysts: Range
    animals: Range
    most_g: float
    air_enough: bool
    can_be_weighed: bool

    @property
    def counted(self) -> bool:
        """Whether nothing but counting serves."""
        return self.way == "counted"


@dataclass(frozen=True, slots=True)
class VesselDose:
    """One vessel's dose, of `count` alike; `names` are a station's vessels, each with how many it is."""

    names: tuple[tuple[str, int], ...]
    count: int
    volume_ml: float
    water_ml: float
    salt_g: float
    soda_g: float
    cysts: CystFigures | None
    by_spoon: tuple[SaltBySpoon, ...]


@dataclass(frozen=True, slots=True)
class ScaleReading:
    """What an instrument should read: its `kind`, the temperatures printed on it, and the water's own."""

    kind: str
    made_for_c: float
    against_c: float
    water_c: float
    reading: float


@dataclass(frozen=True, slots=True)
class ShoppingList:
    """What to buy for all, with `spare`, a share of what is needed; of cysts there is more."""

    water_ml: float
    salt_g: float
    soda_g: float
    cysts_g: float
    spare: float


@dataclass(frozen=True, slots=True)
class DoseFigures:
    """All doses of one recipe.

    `salt_means` is "in" a litre of water or "to" a litre of brine. `ph` is that of the fresh and of the long
    aired brine, each give or take `ph_error`; None where none is known. `tested` says whether
    somebody knows what share of the tin hatches; `pinch_g` is a small pinch of it.
    `unknown_tin` was named, but nobody knows it; something speaks against the `alarmed_tin`.
    """

    doses: tuple[VesselDose, ...]
    salt_g_per_l: float
    salt_means: str
    salt_g_per_kg: float
    good_salt_g_per_kg: tuple[float, float]
    soda_g_per_l: float
    soda_most_g_per_l: float
    ph: tuple[float, float] | None
    ph_error: float
    scale: ScaleReading | None
    tested: bool
    pinch_g: Range
    buy: ShoppingList
    unknown_tin: UnknownTin | None = None
    alarmed_tin: AlarmedTin | None = None

    @property
    def alone(self) -> VesselDose | None:
        """The one dose, where all vessels are alike."""
        return self.doses[0] if len(self.doses) == 1 else None
