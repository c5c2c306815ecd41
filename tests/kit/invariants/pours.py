"""B and C. What is to be poured does no harm, and its amount and words fit the vessel it is for."""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from daemon.station import Vessel
from sensors.reading import Measure
from tests.kit.invariants import phrases
from tests.kit.invariants.all_well import BY_EYE_CM
from tests.kit.invariants.finding import Finding, of
from tests.kit.invariants.letter import Block, Letter, is_about
from tests.kit.invariants.record import ACTIVE, Record
from tests.kit.invariants.wording import number

# Amounts are rounded to a millilitre, and beliefs are written once an hour: a little may lie between.
_ROUNDED_ML, _OLD_SHARE = 1.0, 0.02


@dataclass(frozen=True, slots=True)
class Pour:
    """Plain water that a letter asks for, a cup; `to_mark` says that it is to stop at the mark."""

    vessel: Vessel
    ml: float
    to_mark: bool


def pours(record: Record, letter: Letter) -> list[Pour]:
    """All plain water that a letter asks for; an exchange, which takes out first, is none."""
    listed = [pour for vessel in record.station.vessels for pour in _listed(letter, vessel)]
    asked = [pour for action in letter.actions for pour in _asked(record, letter, action)]
    return [*listed, *asked]


def _listed(letter: Letter, vessel: Vessel) -> Iterator[Pour]:
    """What stands under the vessel's name, or in its row."""
    lines = letter.facts(vessel.id)
    exchanged = any(phrases.TAKEN_OUT.pattern.search(line) for line in lines)
    to_mark = any(phrases.TO_THE_MARK.pattern.search(action) for action in letter.actions)
    for line in lines:
        if (fill := phrases.FILL.pattern.search(line)) is not None:
            ends = phrases.FILL_ENDS.pattern.search(line)
            at_mark = ends is not None and ends[1] in (None, "at the mark")
            yield Pour(vessel, number(fill[1]), at_mark or (letter.kind == "water" and to_mark))
        elif (poured := phrases.POUR_LISTED.pattern.search(line)) is not None and not exchanged:
            yield Pour(vessel, number(poured[1]), to_mark)


def _asked(record: Record, letter: Letter, action: str) -> Iterator[Pour]:
    """What the one thing to do says."""
    to_mark = phrases.TO_THE_MARK.pattern.search(action) is not None
    if to_mark:
        for amount, _, name in phrases.INTO_EACH.pattern.findall(action):
            if (vessel := record.vessel(name.rstrip("."))) is not None:
                yield Pour(vessel, number(amount), True)
    if (alike := phrases.INTO_ALL.pattern.search(action)) is not None:
        # It is about those that the letter tells of; a letter may stand for one about others, too.
        told = [vessel for vessel in record.vessels_about(letter) if letter.facts(vessel.id)]
        for vessel in told or record.vessels_about(letter):
            yield Pour(vessel, number(alike[1]), to_mark)
    if (fill := phrases.NIGHTLY_FILL.pattern.search(action)) is not None:
        for vessel in record.station.vessels:
            if is_about(Block(fill[1], (), ""), vessel.id):
                loss = record.belief(vessel.id, "loss_ml", letter.written_at)
                yield Pour(vessel, 0.0 if loss is None else max(loss.p50, 0.0), True)


def _each(record: Record) -> Iterator[tuple[Letter, Pour]]:
    for letter in record.letters if record.english else ():
        for pour in pours(record, letter):
            yield letter, pour


def a_pour_has_a_batch(record: Record) -> Iterator[Finding]:
    """Water is kept where a batch runs."""
    for letter, pour in _each(record):
        if record.set_at(pour.vessel.id, letter.written_at) is None:
            yield of(record, letter, f"pour {pour.ml:g} mL into {pour.vessel.id}", "no batch runs there")


def a_pour_ends_under_the_brim(record: Record) -> Iterator[Finding]:
    """And nothing is poured up to a mark that the water stands above."""
    for letter, pour in _each(record):
        loss = record.belief(pour.vessel.id, "loss_ml", letter.written_at)
        if loss is None:
            continue
        slack_ml = _ROUNDED_ML + _OLD_SHARE * pour.ml + BY_EYE_CM * pour.vessel.surface_cm2
        says = f"pour {pour.ml:g} mL into {pour.vessel.id}"
        if pour.to_mark and loss.p50 < -slack_ml:
            yield of(record, letter, f"{says} up to the mark", f"it is believed {-loss.p50:.0f} mL above it")
        elif pour.ml - loss.p50 > pour.vessel.brim_ml + slack_ml:
            but = f"that ends {pour.ml - loss.p50:.0f} mL above the mark, the brim is {pour.vessel.brim_ml:g}"
            yield of(record, letter, says, but)


def a_pour_keeps_the_salt(record: Record) -> Iterator[Finding]:
    """Plain water that takes the believed salt below its own limit is not asked for."""
    for letter, pour in _each(record):
        if _just_done(record, pour.vessel, letter.written_at):
            continue
        loss = record.belief(pour.vessel.id, "loss_ml", letter.written_at)
        salt = record.belief(pour.vessel.id, "salinity_g_per_kg", letter.written_at)
        if loss is None or salt is None or pour.ml < 0.5:
            continue
        there_ml = max(pour.vessel.mark_ml - loss.p50, 0.0)
        after, low = salt.p50 * there_ml / (there_ml + pour.ml), pour.vessel.salinity_low_g_per_kg
        if after < low * (1 - _OLD_SHARE):
            but = (
                f"that takes its salt from {salt.p50:.1f} to {after:.1f} g/kg, it should be {low:g} at least"
            )
            yield of(record, letter, f"pour {pour.ml:g} mL into {pour.vessel.id}", but)


def no_pour_into_an_emptied_vessel(record: Record) -> Iterator[Finding]:
    """Where half of the mark was drawn since the last set or fill, plain water is not what is asked for."""
    for letter, pour in _each(record):
        drawn_ml = drawn_since_filled(record, pour.vessel, letter.written_at)
        known = not _just_done(record, pour.vessel, letter.written_at)
        if known and drawn_ml >= 0.5 * pour.vessel.mark_ml and pour.ml >= 0.5:
            but = f"{drawn_ml:.0f} of {pour.vessel.mark_ml:g} mL were drawn since it was filled"
            yield of(record, letter, f"pour {pour.ml:g} mL into {pour.vessel.id}", but)


def a_dead_probe_comes_before_a_pour(record: Record) -> Iterator[Finding]:
    """Back from an absence, a vessel whose thermometer gives nothing to believe is looked at first."""
    for letter in record.letters if record.english else ():
        pour = phrases.TO_THE_MARK.pattern.search(letter.action) if letter.kind == "return" else None
        if pour is None or phrases.PROBE_FIRST.pattern.search(letter.action[: pour.start()]):
            continue
        for row in record.standing(letter.written_at).values():
            vessel = record.vessel(row.vessel)
            if row.condition != "probe" or row.state not in ACTIVE or vessel is None:
                continue
            water = record.station.probe_of(vessel, Measure.WATER_C)
            if water is not None and water.id == row.probe and letter.facts(vessel.id):
                yield of(record, letter, f"first: {letter.action}", f"{row.probe} gives nothing to believe")


def _just_done(record: Record, vessel: Vessel, at: int) -> bool:
    """Whether something was done since the last beat: in played time it is taken in at the next."""
    lately = at - record.station.sample_every_s
    return any(one.vessel == vessel.id and lately < one.at <= at for one in record.deeds)


def drawn_since_filled(record: Record, vessel: Vessel, at: int) -> float:
    """What was taken out, and not poured back, since the last set or fill to a level, mL."""
    drawn = 0.0
    for one in record.done(vessel.id, 0, at, at):
        if one.deed == "set" or (one.deed == "top-up" and {"to", "above_ml"} & one.detail.keys()):
            drawn = 0.0
        elif one.deed in ("harvest", "remove"):
            drawn += one.amount or 0.0
        elif one.deed in ("top-up", "brine"):
            drawn = max(0.0, drawn - (one.amount or 0.0))
    return drawn


def take_out_only_from_above_the_mark(record: Record) -> Iterator[Finding]:
    """Water is asked to be taken out only where it stands over the mark by more than an eye's error."""
    for letter in record.letters if record.english else ():
        for vessel in record.station.vessels:
            if not any(phrases.TAKE_OUT.pattern.search(line) for line in letter.facts(vessel.id)):
                continue
            loss = record.belief(vessel.id, "loss_ml", letter.written_at)
            if loss is None or -loss.p50 <= BY_EYE_CM * vessel.surface_cm2:
                there = (
                    "nothing is believed of its level" if loss is None else f"its loss is {loss.p50:.0f} mL"
                )
                yield of(record, letter, f"take some out of {vessel.id}", there)


def nobody_looks_whether_it_stands_at_the_mark_in_vain(record: Record) -> Iterator[Finding]:
    """Asked only where the middle of what is believed is near the mark."""
    for letter in record.letters if record.english else ():
        if not phrases.LOOK_WHETHER_AT_MARK.pattern.search(letter.flat):
            continue
        for vessel in record.vessels_about(letter):
            loss = record.belief(vessel.id, "loss_ml", letter.written_at)
            if loss is not None and loss.p50 < -2 * BY_EYE_CM * vessel.surface_cm2 - vessel.brim_ml:
                but = f"{vessel.id} is believed {-loss.p50:.0f} mL above it"
                yield of(record, letter, "look whether the water stands at the mark", but)


def an_amount_a_cup_is_that_of_a_cup(record: Record) -> Iterator[Finding]:
    """The short amount, in lead and subject, is one that the letter lists for such a vessel."""
    for letter in record.letters if record.english else ():
        asked = pours(record, letter)
        short = phrases.POUR_SHORT.pattern.search(letter.lead)
        if short is None or not asked:
            continue
        of_cups = [pour for pour in asked if pour.vessel.count > 1] if short[2] else asked
        if not any(abs(pour.ml - number(short[1])) < 0.51 for pour in of_cups):
            listed = ", ".join(f"{pour.vessel.id} {pour.ml:g} mL" for pour in asked)
            yield of(record, letter, short[0], f"it lists {listed}")


def words_fit_the_kind_of_vessel(record: Record) -> Iterator[Finding]:
    """ "Look into a cup" is not said about a jar or a cone."""
    for letter in record.letters if record.english else ():
        vessels = record.vessels_about(letter)
        if not vessels or any(vessel.kind == "cup" or vessel.count > 1 for vessel in vessels):
            continue
        for said in (letter.subject, letter.lead, *letter.actions):
            words = re.sub(r"measuring cups?", "", said)
            if (cup := re.search(r"\b(?:the |a |each )?cups?\b", words)) is not None:
                kinds = ", ".join(f"{vessel.id} is a {vessel.kind}" for vessel in vessels)
                yield of(record, letter, f"“{cup[0]}”: {said[:80]}", kinds)
                break
