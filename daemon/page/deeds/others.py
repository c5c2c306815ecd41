"""The same deed for several vessels at once: which others are ticked, and what is noted of each."""

from collections.abc import Mapping, Sequence

from daemon.page.deeds.alone import alone, here_and_now
from daemon.page.deeds.form import FilledForm, FormFaults, words_of
from daemon.page.deeds.likely import likely
from daemon.page.deeds.noting import Words
from daemon.page.glance import Glance
from reports.page.doing.care import Neighbour
from reports.page.doing.choices import Choice
from reports.page.doing.fields import names
from reports.page.doing.others import OtherVessel, other

AMOUNT = "amount"


def ticked(glance: Glance, vessel_id: str, also: Sequence[str]) -> tuple[str, ...]:
    """The other vessels that were ticked, each once; what is none of the station's is nobody's."""
    return tuple(one.id for one in glance.station.vessels if one.id in also and one.id != vessel_id)


def requests_of(
    glance: Glance,
    vessels: Sequence[str],
    choice: Choice,
    values: Mapping[str, str],
    sent: Mapping[str, str],
    faults: FormFaults,
) -> list[Words]:
    """What is asked of the daemon for each vessel, the form's own first; others may have own amounts."""
    requests = _of_one(glance, vessels[0], choice, values, faults)
    for vessel in vessels[1:]:
        own, found = sent.get(_own(vessel), "").strip(), FormFaults()
        requests += _of_one(glance, vessel, choice, {**values, AMOUNT: own} if own else values, found)
        for name, line in found.by_field.items():
            faults.add(_own(vessel) if own and name == AMOUNT else name, line)
    return requests


def _of_one(
    glance: Glance, vessel: str, choice: Choice, values: Mapping[str, str], faults: FormFaults
) -> list[Words]:
    """The entries of one vessel, in the order in which they are noted."""
    return [
        words_of(glance, vessel, step, values if step.amount is None else {}, faults) for step in choice.steps
    ]


def others(
    glance: Glance, vessel_id: str, also: Sequence[str], filled: FilledForm | None = None
) -> list[OtherVessel]:
    """The other vessels as a form shows them; in one that asks for amounts, each ticked one with its own."""
    setting = here_and_now(glance)
    return [
        other(
            *(setting, one.id, one.count),
            ticked=one.id in also,
            amount=_amount(glance, one.id, filled) if filled is not None and one.id in also else None,
            guessed=filled is not None and filled.guessed,
            fault=filled.faults.by_field.get(_own(one.id), "") if filled is not None else "",
        )
        for one in glance.station.vessels
        if one.id != vessel_id
    ]


def _amount(glance: Glance, vessel: str, filled: FilledForm) -> str | None:
    """What stands in a vessel's own field: a guess before anybody sent the form, and then what was sent."""
    if AMOUNT not in names(filled.choice):
        return None
    if filled.guessed:
        return likely(alone(glance, vessel), filled.choice).get(AMOUNT, "")
    return filled.sent.get(_own(vessel), "")


def beside(glance: Glance, also: Sequence[str]) -> list[Neighbour]:
    """The ticked ones, as far as what to mind for safety goes."""
    return [
        Neighbour(one.id, one.count, one.heater_c is not None)
        for one in glance.station.vessels
        if one.id in also
    ]


def _own(vessel: str) -> str:
    """The field of a vessel's own amount."""
    return f"{AMOUNT}:{vessel}"
