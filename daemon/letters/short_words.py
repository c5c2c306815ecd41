"""Deeds, doubts and waiting letters in a few words, in the station's language."""

from daemon.care.deed import Deed
from daemon.store.letters import LetterRow
from reports import amounts
from reports.language import say, say_in, spoken, to_say
from reports.letters.kinds import LETTERS

# What a probe's trust says of a strange value; the store keeps it in English, whatever the language.
_DOUBTS = (
    to_say("it changed like a thermometer that comes out of the water; maybe it hangs in air"),
    to_say("it has shown the same value for more than a day; maybe it is stuck"),
    to_say("it follows the air of the room as no water does; maybe it hangs in air"),
    to_say("it has been as warm as the room for six hours under the lamp; maybe it hangs in air"),
)
# Deeds without an amount, and those with one.
_DEEDS = {
    "stir": to_say("stirred"),
    "first-swimmer": to_say("first swimmer seen"),
    "end": to_say("batch ended"),
}
_BY_SCALE = to_say("salt measured: specific gravity {amount}")
_AMOUNTS = {
    "set": to_say("set {amount} g of cysts"),
    "count": to_say("counted {amount} animals"),
    "salinity": to_say("salt measured: {amount} g in a kg of brine"),
    "feed": to_say("fed {amount} g"),
    "top-up": to_say("poured in {amount} mL of water"),
    "brine": to_say("poured in {amount} mL of brine"),
    "remove": to_say("took out {amount} mL"),
    "harvest": to_say("drew off {amount} mL"),
}
# The account of the local page: systemd/naupliad-page.service. Who signed in there has a PIN and no name.
_PAGE_ACCOUNT = "naupliad-page"
_WAITING = {
    "held": to_say("{letter} (waits for its time)"),
    "queued": to_say("{letter} (waits for the post)"),
    "parked": to_say("{letter} (refused by the post)"),
}


def deed_in_words(deed: Deed, language: str) -> str:
    """A deed in a few words, as it is said afterwards: `poured in 18 mL of water`."""
    with spoken(language):
        match deed.amount, deed.deed:
            case _, "note":
                return str(deed.detail.get("text", ""))
            case None, name:
                return say(_DEEDS[name]) if name in _DEEDS else name
            case amount, "cover":
                return say("covered") if amount else say("uncovered")
            case 0, "hatched":
                return say("none hatched yet")
            case share, "hatched":
                return say("{share} hatched", share=amounts.percent(share))
            case amount, "salinity" if deed.unit == "sg":
                return say(_BY_SCALE, amount=amounts.in_decimals(f"{amount:g}"))
            case amount, name:
                return say(_AMOUNTS[name], amount=amounts.in_decimals(f"{amount:g}"))


def doubt_in_words(doubt: str, language: str) -> str:
    """What is strange about a probe, as the store keeps it, in the language."""
    with spoken(language):
        return say(doubt) if doubt in _DOUBTS else doubt


def who_in_words(by: str, language: str) -> str | None:
    """Who silenced something, by the login name that the store has; None where it is not known."""
    with spoken(language):
        return say_in("silenced by", "somebody on the page") if by == _PAGE_ACCOUNT else by or None


def waiting_in_words(row: LetterRow, language: str) -> str:
    """A letter that waits, and how: `cold letter (waits for the post)`."""
    with spoken(language):
        return say(_WAITING[row.state], letter=say(LETTERS[row.kind].name))
