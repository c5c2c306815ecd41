"""The word `ice`: a thermometer read in ice water until there is a verdict, beside everything else."""

import logging
import threading
from collections.abc import Mapping
from typing import Any

from daemon.commissioning.machine import Machine
from daemon.commissioning.probes import ice_check
from daemon.commissioning.probes.calibration import IceBath
from daemon.errors import InputError
from daemon.input.file import shown
from daemon.setting_up.check import FAILED, Start, called, endable, one_at_a_time
from daemon.setting_up.probes_desk import plan_of
from daemon.station import ProbePlan
from sensors.errors import SensorError
from sensors.reading import Reading

log = logging.getLogger(__name__)

_NOTHING: dict[str, Any] = {
    "probe": None,
    "state": "none",
    "after_s": 0.0,
    "now_c": None,
    "steady": 0.0,
    "offset_c": None,
    "was_c": 0.0,
    "needs_change": False,
    "account": "",
    "advice": "",
}


class IceDesk:
    """One bath at a time; its answer stands until it is ended or the next begins."""

    def __init__(self, machine: Machine, start: Start) -> None:
        """`start` does what it is given in a thread of its own, one after another."""
        self._machine = machine
        self._start = start
        self._bath: _Bath | None = None

    def answer(self, words: Mapping[str, Any]) -> dict[str, Any]:
        """`begin`, `look` or `end`, and how it stands then. Raises InputError for what cannot be done."""
        match words.get("do"):
            case "begin":
                self._begin(plan_of(words))
            case "look":
                pass
            case "end":
                self.end()
            case other:
                raise InputError(f"request: do: found {shown(other)}; allowed: begin, look, end")
        return dict(self._bath.told if self._bath else _NOTHING)

    def end(self) -> None:
        """Read no more; what was found is forgotten."""
        if self._bath is not None:
            self._bath.ended.set()
            self._bath = None

    def _begin(self, plan: ProbePlan) -> None:
        if not ice_check.fits_water(plan):
            raise InputError(
                f"ice: found {called(plan)}, which must never go into water; allowed: a DS18B20, or a"
                " thermometer of iio or hwmon that measures water_c"
            )
        reading = self._bath.plan if self._bath and self._bath.told["state"] == "reading" else None
        one_at_a_time("ice", reading, plan)
        if reading is None:
            self._bath = _Bath(plan, self._machine)
            self._start(self._bath.read)


class _Bath:
    """One thermometer in its bath. `told` is how it stands, put anew whole: other threads look at it."""

    def __init__(self, plan: ProbePlan, machine: Machine) -> None:
        self.plan = plan
        self.ended = threading.Event()
        self.told = {**_NOTHING, "probe": plan.id, "state": "reading", "was_c": ice_check.was_c(plan)}
        self._machine = endable(machine, self.ended)

    def read(self) -> None:
        """Until there is a verdict, or somebody ends it."""
        try:
            end = ice_check.read_bath(self.plan, self._machine, self._show, self.ended.is_set)
        except SensorError as error:
            self._tell(state="over", account=error.account, advice=error.remedy)
        except Exception:
            log.exception("ice: %s", called(self.plan))
            self._tell(state="over", account=FAILED)
        else:
            if end is not None:
                self._judged(end)

    def _show(self, after_s: float, reading: Reading, bath: IceBath) -> None:
        now_c = reading.value if reading.good else None
        account = "" if reading.good else f"no good reading ({reading.quality})"
        self._tell(after_s=round(after_s, 1), now_c=now_c, steady=bath.steady_share(), account=account)

    def _judged(self, end: ice_check.IceEnd) -> None:
        offset_c = end.verdict.offset_c
        if offset_c is None:
            advice = ice_check.remedy(end, self._machine)
        elif end.needs_change:
            advice = " ".join(ice_check.cautions(offset_c))
        else:
            advice = ice_check.no_change(end)
        self._tell(
            state="over",
            offset_c=offset_c,
            needs_change=end.needs_change,
            account=end.verdict.account,
            advice=advice,
        )

    def _tell(self, **more: Any) -> None:
        self.told = {**self.told, **more}
