"""The states of a station's vessels, for what asks what is judged of them."""

from daemon.care.deed import Deed
from daemon.station import Station
from daemon.vessel_state import VesselState, course_of


def states_with(station: Station, *running: str, at: int = 0) -> dict[str, VesselState]:
    """Every vessel's state where a batch was just set in those named, and nothing ever in the others."""
    courses = {
        vessel.id: course_of([Deed(at, vessel.id, "set", 0.2)] if vessel.id in running else [])
        for vessel in station.vessels
    }
    return {vessel.id: courses[vessel.id].state(vessel, {}, at) for vessel in station.vessels}
