"""The guided calibrations of naupliad probes: a thermometer in ice water, a light probe under its lamp."""

import json
from collections.abc import Callable, Sequence
from contextlib import closing

import click

from daemon.commissioning.machine import Machine
from daemon.commissioning.probes import ice_check, lamp_check
from daemon.commissioning.probes.calibration import ICE_EVERY_S, IceBath
from daemon.commissioning.probes.ice_check import IceEnd
from daemon.commissioning.probes.look import PatientProbe
from daemon.commissioning.probes.uncorrected import uncorrected
from daemon.commissioning.probes.unnamed_probe import UnnamedProbe
from daemon.errors import InputError, NaupliadError
from daemon.station import ProbePlan, Station
from sensors.errors import SensorError
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


def guide_ice(
    wanted: str, station: Station | None, waiting: Sequence[UnnamedProbe], machine: Machine, *, as_json: bool
) -> None:
    """Guide the ice-water check of a probe, by its id or address, and propose its `offset_c`.

    Raises InputError for what is no thermometer fit for water, NaupliadError where the check gives no answer.
    """
    plan = _chosen("--ice", wanted, _plans(station, waiting), ice_check.fits_water)
    say = _speaker(as_json)
    say(_ICE.format(name=plan.id, every=ICE_EVERY_S))
    _pause("Press Enter to begin (Ctrl-C ends).", as_json)
    end = _bathed(plan, machine, say)
    verdict = end.verdict
    if as_json:
        fields = {
            "probe": plan.id,
            "steady_c": verdict.steady_c,
            "offset_c": verdict.offset_c,
            "was_c": end.was_c,
            "account": verdict.account,
        }
        click.echo(json.dumps(fields, ensure_ascii=False, indent=1))
    if verdict.offset_c is None:
        raise NaupliadError(f'probe "{plan.id}": {verdict.account}. {ice_check.remedy(end, machine)}')
    if not as_json:
        click.echo(_ice_proposal(end, verdict.offset_c))


def guide_light(
    wanted: str, station: Station | None, waiting: Sequence[UnnamedProbe], machine: Machine, *, as_json: bool
) -> None:
    """Read a light probe with the lamp off and on, and propose what the station file should say.

    Raises InputError for what is no light probe, NaupliadError where the two are alike or reading fails.
    """
    plan = _chosen("--light", wanted, _plans(station, waiting), lamp_check.fits_light)
    say = _speaker(as_json)
    with closing(_opened(plan, machine)) as probe:
        _pause(_LAMP_OFF, as_json)
        off = lamp_check.read_light(plan, probe, machine)
        _pause(_LAMP_ON, as_json)
        on = lamp_check.read_light(plan, probe, machine)
    verdict = lamp_check.lamp_verdict(plan, off, on)
    if as_json:
        click.echo(
            json.dumps(
                {"probe": plan.id, **verdict.keys, "account": verdict.account}, ensure_ascii=False, indent=1
            )
        )
    if not verdict.keys:
        raise NaupliadError(f'probe "{plan.id}": {verdict.account}. {lamp_check.AGAIN}')
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


def _opened(plan: ProbePlan, machine: Machine) -> PatientProbe:
    """The probe without its corrections. Raises NaupliadError where it does not open."""
    try:
        return uncorrected(plan, machine)
    except SensorError as error:
        raise NaupliadError(str(error)) from error


def _bathed(plan: ProbePlan, machine: Machine, say: Callable[[str], None]) -> IceEnd:
    """Read until there is a verdict. Raises NaupliadError where it does not open."""
    shown_s = -_SHOW_EVERY_S

    def show(after_s: float, reading: Reading, _bath: IceBath) -> None:
        nonlocal shown_s
        if after_s - shown_s >= _SHOW_EVERY_S or not reading.good:
            shown_s = int(after_s)
            say(f"  {shown_s // 60}:{shown_s % 60:02}  {_celsius(reading)}")

    try:
        end = ice_check.read_bath(plan, machine, show)
    except SensorError as error:
        raise NaupliadError(str(error)) from error
    assert end is not None  # noqa: S101 - nobody ends it but by Ctrl-C
    return end


def _celsius(reading: Reading) -> str:
    return f"{reading.value:.2f} °C" if reading.good else f"no good reading ({reading.quality})"


def _ice_proposal(end: IceEnd, offset_c: float) -> str:
    plan, account = end.plan, end.verdict.account
    steady = (
        f"\n{account[0].upper()}{account[1:]}, without any offset. Melting ice of clean water is at 0 °C."
    )
    if not end.needs_change:
        return f"{steady}\n{ice_check.no_change(end)}"
    instead = f", in place of offset_c = {end.was_c:g}" if "offset_c" in plan.keys else ""
    lines = [
        f'{steady}\nPut this line into the station file under id = "{plan.id}"{instead}; restart the daemon:',
        f"\noffset_c = {offset_c:g}\n",
        *ice_check.cautions(offset_c),
    ]
    return "\n".join(lines)


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
