"""Tasks about what is to be poured, and about all that is to be done before nobody is there for long."""

from collections.abc import Sequence

from reports import amounts, words
from reports.language import say
from reports.letters.before_going import VesselGoing, going_care, going_deed, to_feed, to_pour
from reports.letters.heaters import pouring_care, unplugged_for
from reports.letters.known import listed
from reports.letters.pouring import fill_advice, how_to_mix
from reports.page.task import Task, once_there, texts, to_do
from reports.page.vessel_due import VesselDue
from reports.records import Setting, VesselNight


def before_going(setting: Setting, due: Sequence[VesselDue]) -> list[Task]:
    """What the letter before people leave asks for, of all vessels at once as there."""
    going = [one.going for one in due if one.going is not None]
    if not going:
        return []
    names = listed([words.clean(one.vessel) for one in going])
    steps = [line for one in going for line in _of_one(one)]
    about = tuple(one.vessel for one in going)
    return [to_do(names, going_deed(setting, going).text, texts(going_care(going)), steps, about)]


def _of_one(one: VesselGoing) -> list[str]:
    facts = [to_pour(one), *([to_feed(one.feed)] if one.feed else [])]
    name = words.vessel_name(one.vessel, one.count)
    lines = [f"{fact.label}: {fact.value}" for fact in facts]
    return [f"{name}: {words.begun(line)}" for line in (*lines, *how_to_mix(one))]


def fills(setting: Setting, vessels: Sequence[VesselNight], due: Sequence[VesselDue]) -> list[Task]:
    """Water that should be poured today so that it lasts over the coming night, where no letter says so."""
    wanted = {one.vessel for one in due if one.fills}
    dry = [one for one in vessels if one.vessel in wanted]
    if not dry:
        return []
    steps = [poured(one) for one in dry]
    names, about = listed([words.clean(one.vessel) for one in dry]), tuple(one.vessel for one in dry)
    return [
        to_do(
            names,
            once_there(setting, unplugged_for(fill_advice(dry), dry)),
            texts(pouring_care(dry)),
            steps,
            about,
        )
    ]


def poured(one: VesselNight) -> str:
    """How much plain water goes into it."""
    return say(
        "{name}: {amount} of plain water into {where}",
        name=words.vessel_name(one.vessel, one.count),
        amount=amounts.volume_with_spoons(one.fill_ml),
        where=words.into_each(one.count),
    )
