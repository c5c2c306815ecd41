"""The word `light`: a light probe read with its lamp off and then on, beside everything else."""

import logging
import threading
from collections.abc import Mapping
from contextlib import closing
from functools import partial
from typing import Any

from daemon.commissioning.machine import Machine
from daemon.commissioning.probes import lamp_check
from daemon.commissioning.probes.uncorrected import uncorrected
from daemon.errors import InputError, NaupliadError
from daemon.input.file import shown
from daemon.setting_up.check import FAILED, Start, called, endable, one_at_a_time
from daemon.setting_up.place import SetUpPlace
from daemon.setting_up.probes_desk import held, plan_of
from daemon.station import ProbePlan
from sensors.errors import SensorError

log = logging.getLogger(__name__)

_NOTHING: dict[str, Any] = {"probe": None, "state": "none", "keys": {}, "account": ""}


class LightDesk:
    """One lamp at a time; its answer stands until it is ended or the next begins."""

    def __init__(self, place: SetUpPlace, machine: Machine, start: Start) -> None:
        """`start` does what it is given in a thread of its own, one after another."""
        self._place = place
        self._machine = machine
        self._start = start
        self._lamp: _Lamp | None = None

    def answer(self, words: Mapping[str, Any]) -> dict[str, Any]:
        """`off`, `on`, `look` or `end`, and how it stands then. Raises InputError for what cannot be done."""
        match words.get("do"):
            case "off":
                self._off(self._fit(plan_of(words)))
            case "on":
                self._on(plan_of(words))
            case "look":
                pass
            case "end":
                self.end()
            case other:
                raise InputError(f"request: do: found {shown(other)}; allowed: off, on, look, end")
        return dict(self._lamp.told if self._lamp else _NOTHING)

    def end(self) -> None:
        """Read no more; what was found is forgotten."""
        if self._lamp is not None:
            self._lamp.ended.set()
            self._lamp = None

    def _fit(self, plan: ProbePlan) -> ProbePlan:
        if not lamp_check.fits_light(plan):
            raise InputError(
                f"light: found {called(plan)}, which sees no lamp; allowed: mcp3008, photocell, or iio that"
                " measures light_lux"
            )
        if plan.driver == "photocell":
            self._check_pin(plan)
        return plan

    def _check_pin(self, plan: ProbePlan) -> None:
        holder = next((one for one in held(self._place) if one.keys["pin"] == plan.keys["pin"]), None)
        if holder is None:
            return
        found = f"light: found pin {plan.keys['pin']} held by the running daemon, for its probe {holder.id}"
        if holder.driver != plan.driver:
            raise InputError(f"{found}; allowed: the pin of this one")
        raise InputError(
            f"{found}; allowed: to do it by hand: sudo systemctl stop naupliad; naupliad probes --light"
            f" {holder.id}; sudo systemctl start naupliad"
        )

    def _off(self, plan: ProbePlan) -> None:
        reading = self._reading()
        one_at_a_time("light", reading, plan)
        if reading is None:
            self._lamp = _Lamp(plan, self._machine)
            self._start(partial(self._lamp.read, lit=False))

    def _on(self, plan: ProbePlan) -> None:
        one_at_a_time("light", self._reading(), plan)
        lamp = self._lamp
        if lamp is None or lamp.plan != plan or lamp.off is None:
            raise InputError(
                f"light: found no readings of {called(plan)} with the lamp off; allowed: to read those first"
            )
        if lamp.told["state"] != "reading":
            lamp.tell(state="reading", keys={}, account="")
            self._start(partial(lamp.read, lit=True))

    def _reading(self) -> ProbePlan | None:
        return self._lamp.plan if self._lamp and self._lamp.told["state"] == "reading" else None


class _Lamp:
    """One light probe and its lamp. `told` is how it stands, put anew whole: other threads look at it.

    `off` are the readings with the lamp off, None until they are there.
    """

    def __init__(self, plan: ProbePlan, machine: Machine) -> None:
        self.plan = plan
        self.ended = threading.Event()
        self.off: list[float] | None = None
        self.told = {**_NOTHING, "probe": plan.id, "state": "reading"}
        self._machine = endable(machine, self.ended)

    def read(self, *, lit: bool) -> None:
        """One series, with the lamp off or on."""
        try:
            with closing(uncorrected(self.plan, self._machine)) as probe:
                values = lamp_check.read_light(self.plan, probe, self._machine, self.ended.is_set)
        except SensorError as error:
            self.tell(state="over", account=f"{error.account}. {error.remedy}")
        except NaupliadError as error:
            self.tell(state="over", account=str(error))
        except Exception:
            log.exception("light: %s", called(self.plan))
            self.tell(state="over", account=FAILED)
        else:
            if not self.ended.is_set():
                self._take(values, lit=lit)

    def tell(self, **more: Any) -> None:
        """How it stands now."""
        self.told = {**self.told, **more}

    def _take(self, values: list[float], *, lit: bool) -> None:
        if self.off is None or not lit:
            self.off = values
            self.tell(state="off-read")
            return
        verdict = lamp_check.lamp_verdict(self.plan, self.off, values)
        account = verdict.account if verdict.keys else f"{verdict.account}. {lamp_check.AGAIN}"
        self.tell(state="over", keys=dict(verdict.keys), account=account)
