"""config.txt of a Raspberry Pi: which line switches a bus on, and why it does not."""

from daemon.commissioning.machine import Machine
from daemon.input.file import SHOWN_CHARACTERS

# Bookworm and later; before, and on some other systems, without `firmware`.
_PLACES = ("/boot/firmware/config.txt", "/boot/config.txt")
# `i2c` is the alias of `i2c_arm`, and a parameter alone is on (Raspberry Pi firmware, overlays/README [M]).
_ALIASES = {"i2c": "i2c_arm"}
_ON = ("on", "true", "yes", "1")


def switch_on(machine: Machine, line: str) -> str:
    """What to do for a bus that is not there: add `line`, move it, or look further where it is in place."""
    place = next((path for path in _PLACES if machine.path(path).is_file()), None)
    if place is None:
        return f"Add the line {line} to {_PLACES[0]} (not found here: no Raspberry Pi?) and restart the Pi."
    sections = _sections_with(machine.text(place) or "", line)
    if not sections:
        return f"Add the line {line} to the end of {place}, below [all], and restart the Pi."
    if not sections & {"all", ""}:
        found = ", ".join(_named(section) for section in sorted(sections))
        return f"The line {line} stands below {found} in {place}: add it below [all], and restart the Pi."
    return f"The line {line} is in {place} already: restart the Pi; if that does not help, see dmesg."


def _named(section: str) -> str:
    """A section's heading, which may hold anything, as a line can show it."""
    whole = section.isprintable() and len(section) <= SHOWN_CHARACTERS
    return f"[{section}]" if whole else "a broken section"


def _sections_with(text: str, wanted: str) -> set[str]:
    """The conditional sections in which a line has its effect; "" before the first."""
    section, found = "", set()
    for raw in text.splitlines():
        line = raw.split("#")[0].strip()
        if line.startswith("[") and line.endswith("]"):
            section = line[1:-1].strip().lower()
        elif _has_effect(line, wanted):
            found.add(section)
    return found


def _has_effect(line: str, wanted: str) -> bool:
    if wanted.startswith("dtoverlay="):
        return line == wanted or line.startswith(f"{wanted},")
    name = wanted.removeprefix("dtparam=").partition("=")[0]
    if not line.startswith("dtparam="):
        return False
    told = (part.strip().partition("=") for part in line.removeprefix("dtparam=").split(","))
    return any(_ALIASES.get(key, key) == name and (not sep or value in _ON) for key, sep, value in told)
