"""The stage of a vessel, as the records of letters name it."""

from daemon.watching.beliefs import Beliefs

# Of the cysts that will hatch, in the middle of what is believed: our own choice, no source.
_HATCHING_FROM, _HATCHED_FROM = 0.01, 0.95


def stage_of(beliefs: Beliefs, vessel_id: str, at: int) -> str:
    """One of `reports.letters.stages.STAGES`, by what is believed of the vessel's batch at `at` (Unix s)."""
    belief = beliefs.of(vessel_id)
    hatched = beliefs.estimates(vessel_id, at).get("hatched_fraction")
    if belief.running is None or hatched is None:
        return "nothing set"
    stages = belief.stage_times(at)
    if stages is not None and stages.instar_ii.p90 <= at:
        return "growing"
    if hatched.p50 >= _HATCHED_FROM:
        return "hatched"
    return "hatching" if hatched.p50 >= _HATCHING_FROM else "set"
