"""The stages a cyst passes: wetted, breaking, umbrella, first larva, second larva.

Times are doses, hours as if at 25 °C, relative to a lot's T50 (see `hatching`). Only soaking goes by the
clock: it is water entering a dry shell, not development.
"""

from enum import Enum

from daemon.science.hatching import INSTAR_II_AT_C, INSTAR_II_H, hatched_share, pace
from daemon.science.valid_range import within

FLOATS_MIN = (10.0, 15.0)  # a dry cyst floats so long before it sinks [P]
HYDRATION_H = (1.0, 2.0)  # dimpled to round (FAO 428) [R]

# Breaking after 12–20 h at 25–28 °C (FAO 428) [R]. The median lot hatches (1 to 95 in 100) after 13.7–23.9 h
# at 25 °C: the geometric middles are 15.5 and 18.1 h, so an animal breaks at 0.85 of its own hatching dose;
# were FAO's hours those of 28 °C, it would be nearly at the hatch itself. A judgement, then.
BREAKING_H = (12.0, 20.0)
BREAKING_OF_HATCHING = 0.85
UMBRELLA_OF_HATCHING = 0.925  # "just before hatching"; halfway between breaking and hatching [our judgement]


class LifeStage(Enum):
    """Stages in their order; each lasts until the next begins."""

    EMBRYO = "embryo"  # whole cyst, soaking or developing
    BREAKING = "breaking"  # the shell is cracked
    UMBRELLA = "umbrella"  # the embryo hangs out of the shell
    INSTAR_I = "instar-i"  # swims, cannot eat
    INSTAR_II = "instar-ii"  # eats from here on (Benesch 1969, in Vanhaecke et al. 1983) [R]; and all later


def instar_ii_after_dose_h() -> float:
    """Dose from hatching to instar II, hours at 25 °C: about 8 h at 25–28 °C [M], in dose about 8.7."""
    return INSTAR_II_H * pace(INSTAR_II_AT_C)


def soaked_share_range(hours: float) -> tuple[float, float]:
    """Least and most share of cysts that are round after `hours` in water, by the clock.

    None before 1 h and all after 2 h (FAO 428); between them anything: (0, 1).
    """
    within("hours in water", hours, 0.0, 1e6, "h")
    return (1.0 if hours >= HYDRATION_H[1] else 0.0), (1.0 if hours >= HYDRATION_H[0] else 0.0)


def reached_share(stage: LifeStage, dose_h: float, t50_h: float, synchrony: float) -> float:
    """Share (0–1) of the hatchable cysts that have reached `stage`, or are past it, after a dose.

    Breaking and umbrella come at 0.85 and 0.925 of each animal's own hatching dose (a judgement), instar II
    8 h at 26.5 °C after hatching.
    """
    within("dose", dose_h, 0.0, 1e6, "h")
    if stage is LifeStage.EMBRYO:
        return 1.0
    return hatched_share(_hatching_dose_h(stage, dose_h), t50_h, synchrony)


def stage_shares(dose_h: float, t50_h: float, synchrony: float) -> dict[LifeStage, float]:
    """Share of the hatchable cysts in each stage after a dose; together 1. Deaths are not counted."""
    stages = list(LifeStage)
    reached = [reached_share(stage, dose_h, t50_h, synchrony) for stage in stages]
    return {
        stage: here - later for stage, here, later in zip(stages, reached, [*reached[1:], 0.0], strict=True)
    }


def middle_begins_h(stage: LifeStage, t50_h: float) -> float:
    """Dose at which the middle animal of a lot reaches `stage`, hours at 25 °C; 0 for the embryo."""
    within("T50", t50_h, 0.1, 10_000.0, "h")
    if stage is LifeStage.EMBRYO:
        return 0.0
    return t50_h * _OF_HATCHING.get(stage, 1.0) + (
        instar_ii_after_dose_h() if stage is LifeStage.INSTAR_II else 0.0
    )


def _hatching_dose_h(stage: LifeStage, dose_h: float) -> float:
    """The hatching dose of the animal that reaches `stage` just now."""
    if stage is LifeStage.INSTAR_II:
        return max(0.0, dose_h - instar_ii_after_dose_h())
    return dose_h / _OF_HATCHING.get(stage, 1.0)


_OF_HATCHING = {LifeStage.BREAKING: BREAKING_OF_HATCHING, LifeStage.UMBRELLA: UMBRELLA_OF_HATCHING}
