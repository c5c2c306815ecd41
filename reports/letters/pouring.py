"""What is to be poured, and where it is not plain water: brine, or the question whether a batch is over."""

from collections.abc import Sequence
from typing import Protocol

from reports import amounts, words
from reports.language import say, say_many, to_say
from reports.letters import record
from reports.letters.blocks import Block, Facts
from reports.letters.heaters import UNPLUG, HasHeater, heated
from reports.letters.known import listed
from reports.letters.sentences import Named, into_each, name, names, pour_short
from reports.records import BrineDue, Setting, VesselNight

# Less than that is no amount to pour.
LEAST_ML = 0.5
POUR_BRINE = to_say("pour brine, not plain water, as listed.")


class Due(HasHeater, Protocol):
    """A vessel with the brine that is due in it; None where plain water is, or nothing."""

    @property
    def brine(self) -> BrineDue | None:
        """The brine."""


class Filled(Due, Protocol):
    """The same, with the plain water up to the mark, mL a cup."""

    @property
    def fill_ml(self) -> float:
        """The plain water."""


class Leaving(Filled, Protocol):
    """The same before an absence: the side on which its water is likely to fail, if any."""

    @property
    def fill_fails(self) -> str | None:
        """ "low", "brim" or None."""


def takes_brine(one: Due) -> bool:
    """Whether brine is due in the place of plain water."""
    return one.brine is not None and not one.brine.harvested


def is_harvested(one: Due) -> bool:
    """Whether most of it was drawn off and nobody said that its batch is over."""
    return one.brine is not None and one.brine.harvested


def due_lines(one: Due) -> tuple[str, ...]:
    """The brine that is due and how it is mixed, or the question after a harvest."""
    if one.brine is None:
        return ()
    return _after_harvest(one, one.brine) if one.brine.harvested else _brine_lines(one, one.brine)


def _brine_lines(one: Due, brine: BrineDue) -> tuple[str, ...]:
    return (
        say(
            "Fill: {amount} of brine into {where}. Plain water would leave too little salt.",
            amount=amounts.volume_with_spoons(brine.ml),
            where=words.into_each(one.count),
        ),
        _mixed(one, brine),
    )


def _after_harvest(one: Due, brine: BrineDue) -> tuple[str, ...]:
    return (
        say("Most of the water was drawn off. Is the batch over?"),
        say(
            "If it goes on: fill it to the mark with brine, not plain water, about {amount} into {where}.",
            amount=amounts.volume(brine.ml),
            where=words.into_each(one.count),
        ),
        *([say("Until it is full, its heater stays unplugged.")] if one.has_heater else []),
        _mixed(one, brine),
    )


def brine_steps(vessels: Sequence[Due]) -> list[Block]:
    """The brine that is due in these and how it is mixed, said once of those alike."""
    alike: dict[tuple[str, ...], list[str]] = {}
    for one in vessels:
        alike.setdefault(due_lines(one), []).append(name(one))
    return [Facts(listed(of), lines) for lines, of in alike.items() if lines]


def into_all(amount_ml: float, vessels: Sequence[Named]) -> str:
    """How much to pour into each of these, in mL and spoons, where the sentence before names them."""
    amount = amounts.volume_with_spoons(amount_ml)
    if all(one.count > 1 for one in vessels):
        return say("{amount} into each cup", amount=amount)
    return amount if len(vessels) == 1 else say("{amount} into each vessel", amount=amount)


def poured_cell(one: Filled) -> str:
    """How much to pour into it, for a table; no spoons, since it is the mark that says when to stop."""
    if not is_due(one):
        return say("nothing")
    if one.fill_ml < LEAST_ML:
        amount = say("brine, {amount}", amount=amounts.volume(one.brine.ml if one.brine else 0.0))
    else:
        amount = amounts.volume(one.fill_ml)
    return say("{amount} a cup", amount=amount) if one.count > 1 else amount


def _mixed(one: Due, brine: BrineDue) -> str:
    total_ml = one.count * brine.ml
    salt_g = total_ml * brine.salt_g_per_l / 1000.0
    return say(
        "The brine: {salt} g of your salt stirred into {water} of plain water.",
        salt=amounts.number(salt_g, 0 if salt_g >= 10.0 else 1),
        water=amounts.volume(total_ml),
    )


def how_to_mix(one: Due) -> tuple[str, ...]:
    """The same without the question, where the deed asks it already."""
    return due_lines(one)[1:] if is_harvested(one) else due_lines(one)


def due_record(one: Due) -> tuple[str, ...]:
    """The lines for the care log: of the brine, or of what was decided after a harvest."""
    if one.brine is None:
        return ()
    poured = record.brine(one.vessel, one.brine.ml, one.brine.salt_g_per_l)
    if not one.brine.harvested:
        return (poured,)
    return (
        say("If the batch is over: {command}", command=record.line(one.vessel, "end")),
        say("If it goes on: {command}", command=poured),
        say("Once it is full: {command}", command=record.top_up(one.vessel, 0.0)),
    )


def end_or_go_on(vessels: Sequence[HasHeater]) -> str:
    """What to do about vessels that were harvested, as an action: a heater that is bared comes first."""
    tell = say_many(
        "write in the care log whether the batch in {names} is over. Most of it was drawn off.",
        "write in the care log whether the batches in {names} are over. Most of each was drawn off.",
        len(vessels),
        names=names(vessels),
    )
    bared = heated(vessels)
    return say("{before} Then {after}", before=say(UNPLUG, names=names(bared)), after=tell) if bared else tell


def is_due(one: Filled) -> bool:
    """Whether plain water or brine is to be poured."""
    return one.fill_ml >= LEAST_ML or takes_brine(one)


def is_to_fill(setting: Setting, vessel: VesselNight) -> bool:
    """Whether it is to be filled, since it may come to the low mark before somebody is back."""
    low = None if vessel.low_mark_at is None else vessel.low_mark_at.p10
    until = setting.returns_at if setting.returns_at and not setting.attended_now else setting.next_letter_at
    return is_due(vessel) and low is not None and until is not None and low < until


def fill_advice(vessels: Sequence[Filled]) -> str:
    """What to pour up to the mark, as an action; at least one of them takes something."""
    dry = [one.vessel for one in vessels if one.fill_ml >= LEAST_ML]
    fresh = [one.vessel for one in vessels if takes_brine(one)]
    if not dry:
        return say("pour brine, not plain water, into {names}, as listed.", names=listed(fresh))
    advice = say("fill {names} to the mark with plain water.", names=listed(dry))
    if not fresh:
        return advice
    return say("{advice} Into {names} pour brine, as listed.", advice=advice, names=listed(fresh))


def before_leaving(vessels: Sequence[Leaving]) -> tuple[str, Sequence[Leaving], str | None]:
    """What to do about the water before an absence, first things first: in a few words, in which vessels,
    and for a lead with each vessel's own amount where one amount is not true of all.
    """
    if dry := [one for one in vessels if one.fill_ml >= LEAST_ML]:
        amounts_ml = [one.fill_ml for one in dry]
        return pour_short(amounts_ml, dry), dry, own_amounts(amounts_ml, dry)
    if fresh := [one for one in vessels if takes_brine(one)]:
        return say("pour brine"), fresh, None
    if full := [one for one in vessels if one.fill_fails == "brim"]:
        return say("look for too much water"), full, None
    if drawn := [one for one in vessels if is_harvested(one)]:
        return say("end or fill up the batch"), drawn, None
    return say("no water needed"), vessels, None


def water_steps(vessels: Sequence[Leaving]) -> list[str]:
    """The same as steps, all of them."""
    steps = []
    if live := heated([one for one in vessels if is_due(one) or one.fill_fails == "brim"]):
        steps.append(
            say(
                "with dry hands, switch off and unplug the heater of {names} until you are done and the "
                "water covers it",
                names=names(live),
            )
        )
    if any(one.fill_ml >= LEAST_ML for one in vessels):
        steps.append(say("pour plain water, not salt water, as listed"))
    if fresh := [one for one in vessels if takes_brine(one)]:
        steps.append(say("pour brine, not plain water, into {names}, as listed", names=names(fresh)))
    if full := [one for one in vessels if one.fill_fails == "brim"]:
        steps.append(say("look whether the water in {names} stands too high", names=names(full)))
    if drawn := [one for one in vessels if is_harvested(one)]:
        steps.append(
            say_many(
                "write in the care log whether the batch in {names} is over: most of it was drawn off",
                "write in the care log whether the batches in {names} are over: most of each was drawn off",
                len(drawn),
                names=names(drawn),
            )
        )
    return steps


def own_amounts(amounts_ml: Sequence[float], vessels: Sequence[Named]) -> str | None:
    """The amount of each vessel, for a lead; None where one short amount is true of all, or they are many."""
    written = {amounts.volume(amount_ml) for amount_ml in amounts_ml}
    if len(written) == 1 and len({one.count > 1 for one in vessels}) == 1:
        return None
    if all(one.count > 1 for one in vessels) or len(vessels) > 3:
        return None
    pours = [
        say("{amount} into {where}", amount=amounts.volume(amount_ml), where=into_each(one))
        for amount_ml, one in zip(amounts_ml, vessels, strict=True)
    ]
    return say("pour {amounts}", amounts=words.joined(pours))
