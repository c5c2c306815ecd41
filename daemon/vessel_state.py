"""What state a vessel is in: the one type that conditions and letters ask what may be judged and said.

A function of the care log and of two beliefs (how much has hatched, whether the animals can eat), so it is
the same live, after a restart and for any past night.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace

from daemon.care.deed import Deed
from daemon.estimates.quantile import Estimate
from daemon.stages import RUNNING, STAGES, Stage, StageRule
from daemon.station import Vessel

# Of the cysts that will hatch. First swimmers are there about when one in a hundred has hatched; at 19 of 20
# the hatch is over for whoever looks. Our own choice, no source.
HATCHING_FROM, HATCHED_FROM = 0.01, 0.95
# Out of a vessel that holds less than half of its water nothing is kept on at its mark. Our own choice.
EMPTIED_FROM = 0.5


_OF_WATER = frozenset({"water", "salinity"})


@dataclass(frozen=True, slots=True)
class VesselState:
    """A vessel at a moment. `watched`: its warmth, its lamp and its probes are judged.

    `drawn_ml` is what is out of it, of one cup, since it was last set or filled; `set_at` when the running
    batch was set (Unix s), `recipe_g_per_l` with how much salt in a litre of water, None where nobody said.
    """

    stage: Stage
    watched: bool
    set_at: int | None = None
    drawn_ml: float = 0.0
    recipe_g_per_l: float | None = None

    @property
    def rule(self) -> StageRule:
        """What may be judged and said."""
        return STAGES[self.stage]

    def judges(self, condition: str) -> bool:
        """Whether a condition of the vessel is judged; its alarm is suppressed by design where not."""
        return self.rule.keeps_water if condition in _OF_WATER else self.watched


@dataclass(frozen=True, slots=True)
class Course:
    """What the care log so far makes of a vessel; fold deeds in, in order of their times."""

    set_at: int | None = None
    ended_at: int | None = None
    drawn_ml: float = 0.0
    harvested: bool = False
    seen: float | None = None
    fed: bool = False
    recipe_g_per_l: float | None = None

    def after(self, deed: Deed) -> "Course":
        """The course once this deed was done."""
        amount = deed.amount or 0.0
        match deed.deed:
            case "set":
                return Course(set_at=deed.at, recipe_g_per_l=deed.number("salt_g_per_l"))
            case "end":
                return Course(ended_at=deed.at)
            case "harvest" | "remove":
                drawn_ml = self.drawn_ml + amount
                return replace(self, drawn_ml=drawn_ml, harvested=self.harvested or deed.deed == "harvest")
            case "top-up" if deed.level_given:
                return replace(self, drawn_ml=0.0, harvested=False)
            case "top-up" | "brine":
                return replace(self, drawn_ml=max(0.0, self.drawn_ml - amount))
            case "first-swimmer":
                return replace(self, seen=max(self.seen or 0.0, HATCHING_FROM))
            case "hatched":
                return replace(self, seen=amount)
            case "count" if amount > 0.0:
                return replace(self, seen=max(self.seen or 0.0, HATCHING_FROM))
            case "feed":
                return replace(self, fed=True)
        return self

    def stage(self, vessel: Vessel, hatched: float = 0.0, *, can_feed: bool = False) -> Stage:
        """How far the vessel is.

        `hatched` is the middle of what is believed to have hatched, of those that will; `can_feed` whether
        the animals are surely past the stage that lives on its yolk.
        """
        if self.set_at is None:
            return Stage.NOTHING_SET if self.ended_at is None else Stage.ENDED
        if self.drawn_ml >= EMPTIED_FROM * vessel.mark_ml:
            return Stage.HARVESTED
        if self.harvested:
            return Stage.BEING_HARVESTED
        share = max(hatched, self.seen or 0.0)
        if can_feed or (self.fed and share >= HATCHED_FROM):
            return Stage.GROWING
        if share >= HATCHED_FROM:
            return Stage.HATCHED
        return Stage.HATCHING if share >= HATCHING_FROM else Stage.SET

    def state(self, vessel: Vessel, believed: Mapping[str, Estimate], at: int) -> VesselState:
        """The vessel's state at `at` (Unix s), by what is believed of its batch then."""
        hatched, eats_at = believed.get("hatched_fraction"), believed.get("instar_ii_at")
        stage = self.stage(
            vessel,
            0.0 if hatched is None else hatched.p50,
            can_feed=eats_at is not None and eats_at.p90 <= at,
        )
        watched = vessel.watch == "always" or stage in RUNNING
        return VesselState(stage, watched, self.set_at, self.drawn_ml, self.recipe_g_per_l)


def when_held(
    vessel: Vessel, deeds: Iterable[Deed], holds: Callable[[StageRule], bool], until: int
) -> list[tuple[int, int]]:
    """The stretches [began, ended) up to `until` (Unix s) at which the vessel's stage held to something.

    By its deeds alone, in order of their times: ask for what is the same from `set` to `growing`.
    """
    course, began = Course(), None
    stretches = []
    for deed in deeds:
        course = course.after(deed)
        held = holds(STAGES[course.stage(vessel)])
        if held and began is None:
            began = deed.at
        elif not held and began is not None:
            stretches.append((began, deed.at))
            began = None
    return stretches if began is None else [*stretches, (began, until + 1)]


def course_of(deeds: Iterable[Deed]) -> Course:
    """The course that deeds of one vessel make, in order of their times."""
    course = Course()
    for deed in deeds:
        course = course.after(deed)
    return course
