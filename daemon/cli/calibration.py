"""The guided calibrations of naupliad probes: a thermometer in ice water, a light probe under its lamp."""

import json
from collections.abc import Callable, Sequence
from contextlib import closing

import click

from daemon.commissioning.machine import Machine
from daemon.commissioning.probes import calibration
from daemon.commissioning.probes.distrust import distrust
from daemon.commissioning.probes.look import PatientProbe
from daemon.commissioning.probes.unnamed_probe import UnnamedProbe
from daemon.errors import InputError, NaupliadError
from daemon.station import ProbePlan, Station
from sensors.attached_devices import one_wire_facts
from sensors.errors import SensorError
from sensors.probe_opening import open_probe
from sensors.reading import Measure, Reading

_ICE = """\
Ice-water check of {name}.

1. Fill a plastic cup with crushed ice of plain water. Pour in a little cold tap water, just to fill the gaps.
   No salt: salty ice is colder than 0 °C, and the check would spoil the probe's readings.
2. Put the probe into the middle, its tip well under the ice, touching neither wall nor bottom.
3. Stir, and keep stirring now and then. Dry hands for everything that has a plug.
4. Wait two minutes. It is then read every {every} s until it has been steady for a minute.
"""
_LAMP_OFF = (
    "Leave the probe where it stays and darken the room. Switch the lamp off at its switch or timer, with dry"
    " hands. Then press Enter (Ctrl-C ends)."
)
_LAMP_ON = "Now switch the lamp on at its switch or timer, with dry hands. Then press Enter."
_SHOW_EVERY_S = 15
# Thermometers of other drivers do not say their step; a tenth is what most of them show [P].
_OTHER_STEP_C = 0.1
_CORRECTIONS = frozenset({"offset_c", "dark", "lit"})


def guide_ice(
    wanted: str, station: Station | None, waiting: Sequence[UnnamedProbe], machine: Machine, *, as_json: bool
) -> None:
    """Guide the ice-water check of a probe, by its id or address, and propose its `offset_c`.

    Raises InputError for what is no thermometer fit for water, NaupliadError where the check gives no answer.
    """
    plan = _chosen("--ice", wanted, _plans(station, waiting), _fits_water)
    say = _speaker(as_json)
    say(_ICE.format(name=plan.id, every=calibration.ICE_EVERY_S))
    _pause("Press Enter to begin (Ctrl-C ends).", as_json)
    with closing(_uncorrected(plan, machine)) as probe:
        verdict, last = _bathed(plan, probe, machine, say)
    was_c = float(plan.keys.get("offset_c", 0.0))
    if as_json:
        fields = {
            "probe": plan.id,
            "steady_c": verdict.steady_c,
            "offset_c": verdict.offset_c,
            "was_c": was_c,
            "account": verdict.account,
        }
        click.echo(json.dumps(fields, ensure_ascii=False, indent=1))
    if verdict.offset_c is None:
        raise NaupliadError(f'probe "{plan.id}": {verdict.account}. {_ice_remedy(plan, last, machine)}')
    if not as_json:
        click.echo(_ice_proposal(plan, verdict.account, verdict.offset_c, was_c, _step_c(plan, machine)))


def guide_light(
    wanted: str, station: Station | None, waiting: Sequence[UnnamedProbe], machine: Machine, *, as_json: bool
) -> None:
    """Read a light probe with the lamp off and on, and propose what the station file should say.

    Raises InputError for what is no light probe, NaupliadError where the two are alike or reading fails.
    """
    plan = _chosen("--light", wanted, _plans(station, waiting), _fits_light)
    say = _speaker(as_json)
    with closing(_uncorrected(plan, machine)) as probe:
        _pause(_LAMP_OFF, as_json)
        off = _read_light(plan, probe, machine)
        _pause(_LAMP_ON, as_json)
        on = _read_light(plan, probe, machine)
    in_lux = plan.measures is Measure.LIGHT_LUX
    verdict = (calibration.lamp_limit if in_lux else calibration.lamp_scale)(off, on)
    if as_json:
        click.echo(
            json.dumps(
                {"probe": plan.id, **verdict.keys, "account": verdict.account}, ensure_ascii=False, indent=1
            )
        )
    if not verdict.keys:
        again = "Was the lamp really off, and then on? Move the probe closer to the light, and read again."
        raise NaupliadError(f'probe "{plan.id}": {verdict.account}. {again}')
    if not as_json:
        say(f"{verdict.account}.\n\n{_light_where(plan, station)}\n")
        say("\n".join(f"{key} = {value:g}" for key, value in verdict.keys.items()))


def _plans(station: Station | None, waiting: Sequence[UnnamedProbe]) -> list[ProbePlan]:
    return [*(station.probes if station else ()), *(device.plan for device in waiting)]


def _chosen(
    option: str, wanted: str, plans: Sequence[ProbePlan], fits: Callable[[ProbePlan], bool]
) -> ProbePlan:
    fit = [plan for plan in plans if fits(plan)]
    found = next((plan for plan in fit if wanted in (plan.id, plan.keys.get("address"))), None)
    if found is None:
        allowed = (
            ", ".join(plan.id for plan in fit) or "a probe that fits, and none is attached or in the file"
        )
        raise InputError(f"{option}: found {wanted!r}; allowed: {allowed}")
    return found


def _fits_water(plan: ProbePlan) -> bool:
    """A sensor of the room's air must never be put into water."""
    return plan.driver == "ds18b20" or (plan.driver in ("iio", "hwmon") and plan.measures is Measure.WATER_C)


def _fits_light(plan: ProbePlan) -> bool:
    return plan.driver in ("mcp3008", "photocell") or (
        plan.driver == "iio" and plan.measures is Measure.LIGHT_LUX
    )


def _uncorrected(plan: ProbePlan, machine: Machine) -> PatientProbe:
    """The probe without the corrections that are looked for. Raises NaupliadError where it does not open."""
    keys = {key: value for key, value in plan.keys.items() if key not in _CORRECTIONS}
    try:
        probe = open_probe(plan.id, plan.measures, plan.driver, keys, roots=machine.roots)
    except SensorError as error:
        raise NaupliadError(str(error)) from error
    return PatientProbe(probe, machine)


def _bathed(
    plan: ProbePlan, probe: PatientProbe, machine: Machine, say: Callable[[str], None]
) -> tuple[calibration.IceVerdict, Reading]:
    """Read until there is a verdict; the last reading beside it."""
    bath, began, shown_s = calibration.IceBath(_step_c(plan, machine)), machine.monotonic(), -_SHOW_EVERY_S
    while True:
        reading = probe.read(int(machine.now()))
        after_s = machine.monotonic() - began
        verdict = bath.take(after_s, reading.value if reading.good else None)
        if after_s - shown_s >= _SHOW_EVERY_S or not reading.good:
            shown_s = int(after_s)
            say(f"  {shown_s // 60}:{shown_s % 60:02}  {_celsius(reading)}")
        if verdict is not None:
            return verdict, reading
        machine.sleep(calibration.ICE_EVERY_S)


def _celsius(reading: Reading) -> str:
    return f"{reading.value:.2f} °C" if reading.good else f"no good reading ({reading.quality})"


def _step_c(plan: ProbePlan, machine: Machine) -> float:
    if plan.driver != "ds18b20":
        return _OTHER_STEP_C
    return one_wire_facts(machine.roots.w1, str(plan.keys["address"])).step_c


def _ice_remedy(plan: ProbePlan, last: Reading, machine: Machine) -> str:
    found = distrust(plan, last, machine.roots)
    if found is not None:
        return f"The last one: {found.why}. {found.remedy}"
    return (
        "Is its tip amid ice that still melts, stirred, without salt, away from the wall? Then do it again;"
        " if it stays so, do not trust this probe: replace it."
    )


def _ice_proposal(plan: ProbePlan, account: str, offset_c: float, was_c: float, step_c: float) -> str:
    steady = (
        f"\n{account[0].upper()}{account[1:]}, without any offset. Melting ice of clean water is at 0 °C."
    )
    if abs(offset_c - was_c) <= step_c / 2 + 1e-9:
        return f"{steady}\n{plan.id} needs no change: its offset_c = {was_c:g} is right within half a step."
    instead = f", in place of offset_c = {was_c:g}" if "offset_c" in plan.keys else ""
    lines = [
        f'{steady}\nPut this line into the station file under id = "{plan.id}"{instead}; restart the daemon:',
        f"\noffset_c = {offset_c:g}\n",
    ]
    if abs(offset_c) > calibration.GENUINE_K:
        lines.append(
            f"That is more than the {calibration.GENUINE_K:g} °C the data sheet allows. Make sure of the ice;"
            " if it is so, the probe may be a copy and wrong elsewhere too: replace it if you can."
        )
    lines.append("One point corrects best near it: compare it once at 25 °C with a thermometer you trust.")
    return "\n".join(lines)


def _read_light(plan: ProbePlan, probe: PatientProbe, machine: Machine) -> list[float]:
    """The readings, after the cell has settled. Raises NaupliadError when half of them are not good."""
    machine.sleep(calibration.LAMP_SETTLE_S)
    readings = []
    for _ in range(calibration.LAMP_READINGS):
        machine.sleep(calibration.LAMP_EVERY_S)
        readings.append(probe.read(int(machine.now())))
    bad = [reading for reading in readings if not reading.good]
    if 2 * len(bad) >= len(readings):
        found = distrust(plan, bad[-1], machine.roots)
        raise NaupliadError(
            f'probe "{plan.id}": {len(bad)} of {len(readings)} readings were not good: '
            f"{found.why if found else ''}. {found.remedy if found else ''}"
        )
    return [reading.value for reading in readings if reading.good and reading.value is not None]


def _light_where(plan: ProbePlan, station: Station | None) -> str:
    if plan.measures is not Measure.LIGHT_LUX:
        return f'Put these lines into the station file under id = "{plan.id}"; then restart the daemon:'
    vessels = [vessel.id for vessel in station.vessels if plan.id in vessel.probes] if station else []
    under = ", ".join(vessels) or "the vessel it watches"
    return f"Put this line into the station file under [[vessel]] {under}; then restart the daemon:"


def _speaker(as_json: bool) -> Callable[[str], None]:
    """What is said to the person; beside JSON on standard output it goes to standard error."""
    return lambda text: click.echo(text, err=as_json)


def _pause(text: str, as_json: bool) -> None:
    click.prompt(text, default="", show_default=False, prompt_suffix=" ", err=as_json)
