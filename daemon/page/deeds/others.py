"""The same deed for several vessels at once: which others are ticked, and what is noted of each."""

from collections.abc import Mapping, Sequence

from daemon.page.deeds.alone import alone, here_and_now
from daemon.page.deeds.form import FormFaults, words_of
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
    requests: list[Words] = [words_of(glance, vessels[0], choice, values, faults)]
    for vessel in vessels[1:]:
        own, found = sent.get(_own(vessel), "").strip(), FormFaults()
        requests.append(words_of(glance, vessel, choice, {**values, AMOUNT: own} if own else values, found))
        for name, line in found.by_field.items():
            faults.add(_own(vessel) if own and name == AMOUNT else name, line)
    return requests


def others(
    glance: Glance,
    vessel_id: str,
    also: Sequence[str],
    choice: Choice | None = None,
    sent: Mapping[str, str] | None = None,
    faults: FormFaults | None = None,
) -> list[OtherVessel]:
    """The other vessels as the form shows them; those that are ticked with an amount of their own."""
    setting, told = here_and_now(glance), sent or {}
    found = faults.by_field if faults is not None else {}
    asked = choice is not None and AMOUNT in names(choice)
    shown = []
    for one in glance.station.vessels:
        if one.id == vessel_id:
            continue
        amount = told.get(_own(one.id))
        guessed = amount is None
        if choice is not None and asked and one.id in also and guessed:
            amount = likely(alone(glance, one.id), choice).get(AMOUNT, "")
        fault = found.get(_own(one.id), "")
        shown.append(
            other(
                *(setting, one.id, one.count),
                ticked=one.id in also,
                amount=amount if asked and one.id in also else None,
                guessed=guessed,
                fault=fault,
            )
        )
    return shown


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
