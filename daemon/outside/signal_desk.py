"""What the light on the Pi shows, and what a press of its button does."""

from collections.abc import Iterable
from typing import Protocol

from daemon.alarms.lifecycle import State
from daemon.alarms.watch import Watch, alarm_keys
from daemon.outside.indicator import Signal
from daemon.station import Station
from daemon.store import readings as reading_store
from daemon.store.file import WritingStore
from daemon.watching.alarm_desk import keep
from sensors.reading import Measure

# The water itself is out of its limits; all else can wait until somebody passes (judgement, no source).
_URGENT = ("cold", "hot")
_BLIND_S = 300
_BLIND_BEATS = 3


class Panel(Protocol):
    """A light and a button."""

    def show(self, signal: Signal) -> None:
        """Say this from now on."""

    def pressed(self) -> bool:
        """Whether the button was pressed since this last looked."""


def signal_of(alarms: Iterable[tuple[str, State]], *, blind: bool) -> Signal:
    """The one thing to show for alarms, each a condition and its state; `blind`: no water can be believed."""
    standing = list(alarms)
    if any(state is State.UNACKNOWLEDGED and condition in _URGENT for condition, state in standing):
        return Signal.URGENT
    states = {state for _, state in standing}
    if blind:
        return Signal.BLIND
    if states & {State.UNACKNOWLEDGED, State.RETURNED}:
        return Signal.SOON
    return Signal.SEEN if State.ACKNOWLEDGED in states else Signal.WELL


class SignalDesk:
    """Keeps light and button in step with the alarms, in the beat's own thread."""

    def __init__(self, station: Station, store: WritingStore, watch: Watch, panel: Panel) -> None:
        """`watch` holds the alarms that are shown and acknowledged."""
        self._store = store
        self._watch = watch
        self._panel = panel
        self._keys = alarm_keys(station)
        self._thermometers = {plan.id for plan in station.probes if plan.measures is Measure.WATER_C}
        self._blind_s = max(_BLIND_S, _BLIND_BEATS * station.sample_every_s)

    def look(self, at: int) -> None:
        """Acknowledge if the button was pressed, then show what stands."""
        if self._panel.pressed():
            with self._store.transaction() as connection:
                keep(connection, self._watch.acknowledge(at))
        alarms = ((key.condition, self._watch.alarm(key).state) for key in self._keys)
        self._panel.show(signal_of(alarms, blind=self._blind(at)))

    def _blind(self, at: int) -> bool:
        lately = reading_store.between(self._store.connection, at - self._blind_s, at)
        return not any(reading.good and reading.probe in self._thermometers for reading in lately)
