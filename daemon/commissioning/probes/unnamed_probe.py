"""What the kernel shows and the station file does not name, as lines to paste into it."""

from collections.abc import Sequence
from dataclasses import dataclass

from daemon.station import ProbePlan
from sensors.attached_devices import AttachedDevice
from sensors.reading import Measure

_NAMES = {Measure.LIGHT_LUX: "light", Measure.ROOM_C: "room-air", Measure.ROOM_RH_PCT: "room-rh"}


@dataclass(frozen=True, slots=True)
class UnnamedProbe:
    """A device that waits for a name: the probe it would be, and its lines."""

    plan: ProbePlan

    @property
    def lines(self) -> str:
        """The table for the station file."""
        keys = {"id": self.plan.id, "measures": self.plan.measures.value, "driver": self.plan.driver}
        return "\n".join(
            ["[[probe]]", *(f'{key} = "{value}"' for key, value in {**keys, **self.plan.keys}.items())]
        )


def unnamed_probes(devices: Sequence[AttachedDevice], plans: Sequence[ProbePlan]) -> list[UnnamedProbe]:
    """The devices that no probe of the station file names, each with an id that is still free."""
    taken = {plan.id for plan in plans}
    found = []
    for device in devices:
        if any(device.is_named_by(plan.driver, plan.measures, plan.keys) for plan in plans):
            continue
        probe_id = _free(_wanted_id(device), taken)
        taken.add(probe_id)
        found.append(UnnamedProbe(ProbePlan(probe_id, device.measures, device.driver, dict(device.keys))))
    return found


def _wanted_id(device: AttachedDevice) -> str:
    """A DS18B20 goes by the end of its number, so that several can be distinguished."""
    address = device.keys.get("address")
    return f"water-{address[-4:]}" if address else _NAMES[device.measures]


def _free(wanted: str, taken: set[str]) -> str:
    number, free = 1, wanted
    while free in taken:
        number += 1
        free = f"{wanted}-{number}"
    return free
