"""What a vessel's picture is made from."""

from dataclasses import dataclass
from enum import StrEnum

from reports.records import Range

KINDS = ("cup", "jar", "cone")


class FeltWarmth(StrEnum):
    """How warm the water is, against the limits of the vessel."""

    TOO_COLD = "too cold"
    COOL = "cool"
    RIGHT = "right"
    WARM = "warm"
    TOO_HOT = "too hot"
    NOT_KNOWN = "not known"


class LampLight(StrEnum):
    """How the lamp is seen: by its hours and the light that a probe measured a moment ago."""

    LIT = "lit"
    DARK = "dark"  # in its hours, when it should burn
    OUTSIDE = "outside"  # of its hours


class ProbePlace(StrEnum):
    """Where the probe hangs."""

    WATER = "water"
    AIR = "air"


@dataclass(frozen=True, slots=True)
class VesselShape:
    """What a vessel's night does not tell of it: its kind, one of `KINDS`, and how large one of it is."""

    kind: str
    mark_ml: float
    surface_cm2: float


@dataclass(frozen=True, slots=True)
class VesselPicture:
    """A vessel as it is drawn.

    Volumes in mL of one cup. `stage` is one of `reports.vessel_line.STAGES`; `loss_ml` how far below the mark
    the water stands, `hatched` the share of those that will, None where that is not known or not to be said.
    `age_days` since the batch was set. `warmth` is None where nobody judges it, `lamp` where there is none or
    it is not seen, `probe` where none reads the water. `unit` is "C" or "F".
    """

    vessel: str
    count: int
    shape: VesselShape
    low_ml: float
    brim_ml: float
    stage: str
    loss_ml: Range | None = None
    hatched: Range | None = None
    age_days: float | None = None
    warmth: FeltWarmth | None = None
    water_c: float | None = None
    unit: str = "C"
    lamp: LampLight | None = None
    probe: ProbePlace | None = None
    alarms: int = 0
    covered: bool = False
