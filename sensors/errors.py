"""The sensors' one family of errors: what keeps a probe from being set up. Reading never raises them."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class KeyFault:
    """One wrong key of a probe: which, what was found (None: nothing) and what is allowed, in words."""

    key: str
    found: object
    allowed: str

    def __str__(self) -> str:
        """The fault as part of a line."""
        found = "nothing" if self.found is None else repr(self.found)
        return f"{self.key}: found {found}, allowed: {self.allowed}"


class SensorError(Exception):
    """A probe cannot be set up. `account` says what is wrong, `remedy` what to do about it."""

    def __init__(self, probe: str, account: str, remedy: str) -> None:
        super().__init__(f'probe "{probe}": {account}. {remedy}')
        self.probe = probe
        self.account = account
        self.remedy = remedy


class NotFitted(SensorError):
    """The machine lacks what the probe needs: a bus, a library, a device, a permission."""


class WrongKeys(SensorError):
    """The station file wants what cannot be; `faults` holds every wrong key."""

    def __init__(self, probe: str, *faults: KeyFault) -> None:
        super().__init__(probe, "; ".join(map(str, faults)), "Correct it in the station file.")
        self.faults = faults
