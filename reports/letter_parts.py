"""Sentences that several letters share: who acts and when, which vessels, how sure a number is."""

from collections.abc import Sequence
from datetime import datetime
from typing import Protocol

from reports import words
from reports.letter_page import Action, Caution, Paragraph
from reports.records import Setting

CALCULATED = "calculated from what was told, not measured"
WIDE = (
    "No top-up to the mark has been told yet, so the ranges for water are wide. Each one told makes them "
    "narrower."
)
# New 2002, FAO Fisheries Technical Paper 428, annex 4: active from 4 to 33 °C, no longer alive above 40 °C.
STOPS_ABOVE_C = 33.0
DIES_ABOVE_C = 40.0
# Published hatching times begin at 18 °C; below here no table says how fast development goes on.
KNOWN_ABOVE_C = 15.0
# New 2002 again: from −18 to 4 °C hydrated cysts have stopped but live.
RESTS_BELOW_C = 4.0

MAINS = (
    "salt water and mains current do not go together. Dry your hands first, do not reach over the water, "
    "and let a lamp cool before you touch it, for lamps get hot. If a plug, a cable or a lamp is wet or "
    "damaged, leave it and call the person in charge of the building; their rules come first."
)

HYGIENE = (
    "wash your hands after you touch the water. Cyst dust can set off an allergy, above all in people who "
    "cannot eat shellfish. The animals stay indoors: they must never get into a pond, a river or the sea."
)
NO_FIRE_ALARM = (
    "This is no fire alarm. If you fear that something is burning, do what your school's fire rules say."
)


class Named(Protocol):
    """Anything told of one vessel."""

    @property
    def vessel(self) -> str:
        """Its name."""

    @property
    def count(self) -> int:
        """How many like cups it stands for."""


def name(one: Named) -> str:
    """The vessel with its number of cups."""
    return words.vessel_name(one.vessel, one.count)


def names(told: Sequence[Named]) -> str:
    """Up to three vessels by name; more as a number."""
    return words.joined([name(one) for one in told]) if len(told) <= 3 else f"{len(told)} vessels"


def place(told: Sequence[Named]) -> str:
    """The vessels for a subject: two by name where the names are short, more as a number."""
    if len(told) == 1:
        return words.shortened(told[0].vessel, 24)
    two = f"{words.clean(told[0].vessel)} and {words.clean(told[1].vessel)}"
    return two if len(told) == 2 and len(two) <= 16 else f"{len(told)} vessels"


def each_of(told: Sequence[Named]) -> str:
    """Where to pour: "each cup" or "the vessel"."""
    return words.each_of(sum(one.count for one in told))


def them(told: Sequence[Named]) -> str:
    """What to move or to look after: "the cups" or "the vessel"."""
    return "the cups" if sum(one.count for one in told) > 1 else "the vessel"


def action(setting: Setting, now: str, later: str) -> Action:
    """What to do: `now` where someone is in the room, else `later` with the moment someone is back."""
    if setting.attended_now:
        return Action(now)
    if setting.returns_at is None:
        return Action(f"when you are next in the room, {later}")
    return Action(f"when you are back, {words.moment(setting.returns_at, setting.written_at)}, {later}")


def nobody_must_come(setting: Setting, who: str) -> tuple[Paragraph, ...]:
    """Whom to ask meanwhile, where nobody is in the room; nothing where somebody is."""
    if setting.attended_now:
        return ()
    return (
        Paragraph(
            f"If {who} is in the building sooner, you can ask them. If nobody is, nobody has to come in "
            "for this."
        ),
    )


def mains() -> Caution:
    """The short caution for everything near lamps and salt water."""
    return Caution(MAINS)


def next_letter(setting: Setting) -> Paragraph:
    """When the next letter is due."""
    if setting.next_letter_at is None:
        return Paragraph("No further letter is planned now. One comes at once if something new needs you.")
    at = words.moment(setting.next_letter_at, setting.written_at)
    return Paragraph(f"The next planned letter comes {_on(at)}. One comes sooner if something new needs you.")


def _on(moment: str) -> str:
    return moment if moment.startswith(("today", "tomorrow", "yesterday")) else f"on {moment}"


def silence(setting: Setting) -> Paragraph:
    """What it means when the planned letter does not come."""
    if setting.next_letter_at is None:
        return Paragraph("If letters stop, the station itself may be off: no news is not good news.")
    at = words.moment(setting.next_letter_at, setting.written_at)
    return Paragraph(
        f"If no letter comes {_on(at)}, the station itself is off or its post is stuck: no news is not "
        "good news."
    )


def best(setting: Setting) -> str:
    """25 to 28 °C: New 2002, FAO Fisheries Technical Paper 428, annex 4."""
    return span_c(25.0, 28.0, setting.unit)


def swimmers_best(setting: Setting) -> str:
    """20 to 25 °C over 13 strains: Vanhaecke, Siddall & Sorgeloos 1984."""
    return span_c(20.0, 25.0, setting.unit)


def span_c(low_c: float, high_c: float, unit: str) -> str:
    """ "25 to 28 °C"."""
    return f"{words.number(words.in_unit(low_c, unit))} to {words.temperature(high_c, unit, 0)}"


def since(began: datetime, now: datetime) -> str:
    """ "today at 12:40, for 9 hours 30 minutes"."""
    return f"{words.moment(began, now)}, for {words.duration(words.elapsed(began, now))}"
