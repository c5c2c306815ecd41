"""Plain words for names and lists: text on one line, vessels by name and number of cups."""

import re
import unicodedata
from collections.abc import Sequence

from reports.language import say, say_in

_BEFORE_A_UNIT = re.compile(r"(?<=\d) (?=(?:h|°[CF]|mL|L|g|%)(?!\w))")


def clean(text: str) -> str:
    """One line of printable text: controls and stray halves of characters become spaces or "?"."""
    if text.isprintable():  # nearly all is, and is asked many times a letter
        return " ".join(text.split())
    kept = "".join("?" if "\ud800" <= c <= "\udfff" else _printable(c) for c in text)
    return " ".join(kept.split())


def _printable(character: str) -> str:
    return " " if unicodedata.category(character) in ("Cc", "Cf", "Zl", "Zp") else character


def with_units_held(text: str) -> str:
    """The same with each number and its unit on one line, for who sets it in a narrow column."""
    return _BEFORE_A_UNIT.sub("\u00a0", text)


def shortened(text: str, limit: int) -> str:
    """The text in at most `limit` characters; "…" stands where something was left out."""
    text = clean(text)
    if len(text) <= limit:
        return text
    return text[: max(limit - 1, 0)].rstrip(" ,;(…") + "…" if limit > 0 else ""


def begun(sentence: str) -> str:
    """A whole sentence after a colon: German wants a capital there, English none."""
    capital = say_in("a sentence after a colon begins: small or capital", "small") == "capital"
    return sentence[:1].upper() + sentence[1:] if capital else sentence


def capital(sentence: str) -> str:
    """A sentence that begins a line of its own."""
    return sentence[:1].upper() + sentence[1:]


def joined(parts: Sequence[str]) -> str:
    """ "a", "a and b", "a, b and c"."""
    if len(parts) < 2:
        return "".join(parts)
    return say("{first} and {last}", first=", ".join(parts[:-1]), last=parts[-1])


def vessel_name(vessel: str, count: int) -> str:
    """ "tray-a (24 cups)", or the bare name of a single vessel."""
    return say("{vessel} ({count} cups)", vessel=clean(vessel), count=count) if count > 1 else clean(vessel)


def into_each(count: int) -> str:
    """Where to pour into: "each cup" of a tray, "the vessel" where there is one."""
    return say_in("pour into", "each cup") if count > 1 else say_in("pour into", "the vessel")


def in_each(count: int) -> str:
    """Where the water is, or is taken out of: "each cup", "the vessel"."""
    return say_in("in, out of", "each cup") if count > 1 else say_in("in, out of", "the vessel")
