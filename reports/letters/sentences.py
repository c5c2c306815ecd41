"""Sentences that several letters share: who acts and when, which vessels, how sure a number is."""

from collections.abc import Sequence
from datetime import datetime
from typing import Protocol

from reports import amounts, times, words
from reports.language import say, say_in, say_many, to_say
from reports.letters import record
from reports.letters.blocks import Action, Caution
from reports.records import Setting, Span

CALCULATED = to_say("Water, salt and hatch are calculated, not measured.")
WIDE = to_say("Figures for water are wide until a top-up to the mark is in the care log.")
# New 2002, FAO Fisheries Technical Paper 428, annex 4: active from 4 to 33 °C, no longer alive above 40 °C.
STOPS_ABOVE_C = 33.0
DIES_ABOVE_C = 40.0
# Published hatching times begin at 18 °C; below here no table says how fast development goes on.
KNOWN_ABOVE_C = 15.0
# New 2002 again: from −18 to 4 °C hydrated cysts have stopped but live.
RESTS_BELOW_C = 4.0

_NEARLY_ALL = 0.99

MAINS = to_say(
    "Dry hands; do not reach over the water; let a hot lamp cool. Leave wet or damaged plugs, cables and "
    "lamps to the person in charge."
)
DRY_HANDS = to_say("Dry hands; keep the water away from plug and lamp.")
# The same beside `MAINS`, which asks for dry hands already.
KEEP_AWAY = to_say("Keep the water away from plug and lamp.")
NO_HOT_LAMP = to_say("Leave no hot lamp on: only a low-voltage LED, and only if your rules allow it.")
WASH = to_say("Wash your hands after.")
NO_RELEASE = to_say("Keep animals out of pond, river, sea and drain.")
HYGIENE = to_say(
    "Wash your hands after. Cyst dust can set off allergies, as shellfish can. Keep animals out of pond, "
    "river, sea and drain."
)
NO_FIRE_ALARM = to_say("This is no fire alarm: your school's fire rules come first.")
# Whom to ask while nobody is in the room; nobody has to come in for any of it.
ASK_ABOUT_HEATING = to_say("Nobody has to come in. A caretaker can look at the heating sooner.")
ASK_ABOUT_BLIND = to_say("Nobody has to come in. A caretaker can draw the blind sooner.")
ASK_ABOUT_LAMP = to_say("Nobody has to come in. An adult who knows the lamp can look sooner.")
ASK_ABOUT_STATION = to_say(
    "Nobody has to come in. An adult in the building who knows the station can look sooner."
)
# Where nothing can be gained by coming sooner.
NOBODY_HAS_TO_COME = to_say("Nobody has to come in.")
ASK_ABOUT_CUPS = to_say("Nobody has to come in; someone you trust with the animals can.")


class Named(Protocol):
    """Anything that is about one vessel."""

    @property
    def vessel(self) -> str:
        """Its name."""

    @property
    def count(self) -> int:
        """How many like cups it stands for."""


def name(one: Named) -> str:
    """The vessel with its number of cups."""
    return words.vessel_name(one.vessel, one.count)


def names(vessels: Sequence[Named]) -> str:
    """Up to three vessels by name; more as a number. Stands after "in", "over", "of" and the like."""
    if len(vessels) <= 3:
        return words.joined([name(one) for one in vessels])
    return say_in("after in, over, of", "{count} vessels", count=len(vessels))


def place(vessels: Sequence[Named]) -> str:
    """The vessels for a subject: two by name where the names are short, more as a number."""
    if len(vessels) == 1:
        return words.shortened(vessels[0].vessel, 24)
    two = words.joined([words.clean(vessels[0].vessel), words.clean(vessels[1].vessel)])
    if len(vessels) == 2 and len(two) <= 16:
        return two
    return say_in("in a subject", "{count} vessels", count=len(vessels))


def in_each(vessels: Sequence[Named]) -> str:
    """Out of what to take water: "each cup" of trays, "the vessel", "each vessel" of several."""
    if len(vessels) == 1 or all(one.count > 1 for one in vessels):
        return words.in_each(vessels[0].count)
    return say_in("in, out of", "each vessel")


def into_each(one: Named) -> str:
    """Into what to pour: "each cup of tray-a (24 cups)" or the vessel's name."""
    return say_in("pour into", "each cup of {name}", name=name(one)) if one.count > 1 else name(one)


def poured_into_each(amount_ml: float, one: Named) -> str:
    """ "33 mL (about 6½ teaspoons) into each cup of tray-a (24 cups)"."""
    poured = amounts.volume_with_spoons(amount_ml)
    return say("{amount} into {where}", amount=poured, where=into_each(one))


def pour_short(amounts_ml: Sequence[float], vessels: Sequence[Named]) -> str:
    """What to pour, for a lead: "pour up to 36 mL a cup". Only what is true of each vessel."""
    most = amounts.volume(max(amounts_ml))
    alike = len({amounts.volume(amount_ml) for amount_ml in amounts_ml}) == 1
    if all(one.count > 1 for one in vessels):
        return (
            say("pour {amount} a cup", amount=most)
            if alike
            else say("pour up to {amount} a cup", amount=most)
        )
    if alike and all(one.count == 1 for one in vessels):
        return say("pour {amount}", amount=most)
    return say("pour as listed")


def look_lines(vessel: str, *, begun: bool) -> tuple[str, ...]:
    """The lines for the care log after a look; `begun` where more than the first should swim."""
    if begun:
        some = say("Some swim (here: half): {command}", command=record.line(vessel, "hatched", "50%"))
    else:
        some = say("The first swim: {command}", command=record.line(vessel, "first-swimmer"))
    return say("No swimmers yet: {command}", command=record.line(vessel, "hatched", "0")), some


def action(setting: Setting, now: str, later: str | None = None) -> Action:
    """What to do: `now` where someone is in the room, else `later` (or the same) when someone is back."""
    if setting.attended_now:
        return Action(now)
    later = now if later is None else later
    if setting.returns_at is None:
        return Action(say("when you are next in the room, {what}", what=later))
    when = times.moment(setting.returns_at, setting.written_at)
    return Action(say("when you are back, {when}, {what}", when=when, what=later))


def heat_stops(setting: Setting) -> str:
    """What heat does to cysts, in both units, since safety asks for it."""
    return say(
        "Above {temperature} eggs (cysts) stop developing and may not recover.",
        temperature=amounts.both_units(STOPS_ABOVE_C, setting.unit),
    )


def nobody_must_come(setting: Setting, ask: str) -> tuple[str, ...]:
    """Whom to ask meanwhile, where nobody is in the room; nothing where somebody is; `ask` as above."""
    return () if setting.attended_now else (say(ask),)


def alarms_open(count: int) -> str:
    """ "1 alarm open", "2 alarms open"."""
    return say_many("{count} alarm open", "{count} alarms open", count)


def mains() -> Caution:
    """The short caution for everything near lamps and salt water."""
    return Caution(say(MAINS))


def ending(setting: Setting, *, silence: bool = False) -> str:
    """When the next letter is due; with `silence`, what it means when it does not come."""
    if setting.next_letter_at is None:
        said = say("No letter is planned now. One comes if something new needs you.")
        stops = say("If letters stop, the station may be off.")
        return f"{said} {stops}" if silence else said
    at = times.on_moment(setting.next_letter_at, setting.written_at)
    if setting.next_letter_if_batch:
        said = say("Next letter: {when}, if a batch runs then, or sooner if needed.", when=at)
    else:
        said = say("Next letter: {when}, or sooner if needed.", when=at)
    none = say("If none comes, the station or its post is off.")
    return f"{said} {none}" if silence else said


def best(setting: Setting) -> str:
    """25 to 28 °C: New 2002, FAO Fisheries Technical Paper 428, annex 4."""
    return amounts.span_c(25.0, 28.0, setting.unit)


def swimmers_best(setting: Setting) -> str:
    """20 to 25 °C over 13 strains: Vanhaecke, Siddall & Sorgeloos 1984."""
    return amounts.span_c(20.0, 25.0, setting.unit)


def readings_came(good: int, expected: int) -> str:
    """How many of the expected readings came and are trusted."""
    if expected <= 0:
        return say("No readings were due.")
    if good / expected > _NEARLY_ALL:
        return say("Readings trusted: {good} of {expected}.", good=good, expected=expected)
    share = amounts.percent(good / expected)
    return say("Readings trusted: {good} of {expected} ({share}).", good=good, expected=expected, share=share)


def station_off(off: Span, now: datetime) -> str:
    """A stretch when the station was off."""
    return say(
        "The station was off from {began} to {ended}, for {length}.",
        began=times.moment(off.began, now),
        ended=times.moment(off.ended, now),
        length=times.duration(times.elapsed(off.began, off.ended)),
    )


def since(began: datetime, now: datetime) -> str:
    """ "today at 12:40, for 9 hours 30 minutes"."""
    return say(
        "{when}, for {length}",
        when=times.moment(began, now),
        length=times.duration(times.elapsed(began, now)),
    )
