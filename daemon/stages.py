"""The stages a vessel goes through, and what may be judged and said at each."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum


class Stage(StrEnum):
    """How far a vessel is."""

    NOTHING_SET = "nothing set"
    SET = "set"
    HATCHING = "hatching"
    HATCHED = "hatched"
    GROWING = "growing"
    BEING_HARVESTED = "being harvested"
    HARVESTED = "harvested"
    ENDED = "ended"


@dataclass(frozen=True, slots=True)
class StageRule:
    """What may be judged and said of a vessel at a stage.

    `runs`: a batch runs, so water, salt and hatch are believed and their figures may be said. `keeps_water`:
    level and salt are judged, and plain water may be advised. `hatch_ahead`: swimmers are still to come, or
    to be looked for. `animals`: there are some, to be kept well. `asks_end`: whether the batch is over is
    asked.
    """

    runs: bool = True
    keeps_water: bool = True
    hatch_ahead: bool = False
    animals: bool = True
    asks_end: bool = False


STAGES: Mapping[Stage, StageRule] = {
    Stage.NOTHING_SET: StageRule(runs=False, keeps_water=False, animals=False),
    Stage.SET: StageRule(hatch_ahead=True, animals=False),
    Stage.HATCHING: StageRule(hatch_ahead=True),
    Stage.HATCHED: StageRule(),
    Stage.GROWING: StageRule(),
    Stage.BEING_HARVESTED: StageRule(),
    Stage.HARVESTED: StageRule(keeps_water=False, animals=False, asks_end=True),
    Stage.ENDED: StageRule(runs=False, keeps_water=False, animals=False),
}
RUNNING = frozenset(stage for stage, rule in STAGES.items() if rule.runs)
KEEPING_WATER = frozenset(stage for stage, rule in STAGES.items() if rule.keeps_water)
