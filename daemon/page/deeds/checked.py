"""A line of the care log's checks in the page's language.

The checks speak English, as the command line does: `found 'x'; allowed: 0 to 5 g`. English readers get that
as it is. For others it is taken apart here and said anew; what has no such parts stays as it is.
"""

import re
from collections.abc import Sequence

from daemon.page.glance import Glance
from reports.page.doing.checked import is_said_anew, missing, part, refused

_NUMBER = r"(-?[0-9.]+(?:e[+-]?[0-9]+)?)"
# As daemon/care and daemon/input say it: what was found, what is allowed; by the name that its words have.
_FOUND = (
    ("ahead", r"(?:a moment|(.+),) ([0-9]+) (minutes|hours|days) ahead"),
    ("ago", r"a moment ([0-9]+) days ago"),
    ("twice", r"(\w+) twice"),
    ("near", r"(.+) \(did you mean (.+)\?\)"),
    ("second", r"this cup a second time"),
    ("mixed", r"([0-9]+) counts? with hours and ([0-9]+) without, .+ \(look at (.+?)( and others)?\)"),
    ("lost-cup", r"a cup that is lost"),
    ("header", r"the header (.+)"),
    ("empty-file", r"an empty file"),
    ("byte", r"the byte (0x[0-9a-f]{2}), which is not UTF-8"),
    ("nul", r"a NUL byte"),
    ("long-line", r"a line of more than ([0-9]+) bytes"),
    ("columns", r"([0-9]+) columns"),
    ("characters", r"([0-9]+) characters"),
    ("empty-line", r"an empty line"),
    ("no-csv", r"a row that is no CSV \(.*\)"),
    ("counts", r"([0-9]+) counts"),
    ("some-hours", r"hours for some counts and none for others"),
)
_ALLOWED = (
    ("time", r"08:30, .* not ahead"),
    ("past", r"now or earlier"),
    ("number", r"a plain number with a decimal point, such as 21\.5"),
    ("whole", r"a whole number, such as (?:21|50)"),
    ("spoons", r"a number, in ml, l, tsp \(5 ml\), tbsp \(15 ml\)"),
    ("units", r"a number, in (.+?)(?: \(a specific gravity\))?"),
    ("animals", r"a number of animals"),
    ("share", r"a share such as (\S+), (\S+) or (\S+)"),
    ("cover", r"1 \(put on\) or 0 \(taken off\)|1 or 0"),
    ("of-cup", r"0 to ([0-9]+), as many as are in the cup"),
    ("code", r"a code of the seat map(?: of experiment [0-9]+)?"),
    ("as-set", r"the (level|salt) as it was set, or nothing"),
    ("exactly", r"exactly (\S+), in this order(?:, behind it some of (.+))?"),
    ("any-order", r"(\S+), in any order, and beside them some of (.+)"),
    ("rows-below", r"the header (\S+) and rows below it"),
    ("utf-8", r"text saved as UTF-8|UTF-8 text"),
    ("shorter", r"shorter lines"),
    ("columns-of", r"([0-9]+) \((\S+)\)"),
    ("up-to", r"up to ([0-9]+)"),
    ("end-lines", r"empty lines at the end only"),
    ("quotes", r"one row a line, quotes closed"),
    ("number-or-nothing", r"a plain number with a decimal point, such as 21\.5, or nothing"),
    ("above", r"(?:hours since setting, )?above 0,? (?:and )?up to ([0-9]+)"),
    ("take-hours", r"for all or none: count .+ once more with no hours .*"),
    ("give-hours", r"for all or none: count .+ once more with hours .*"),
    ("all-or-none", r"hours for all or none|for all or none"),
    ("cysts-in-cup", r"cysts in the cup, 1 to ([0-9]+)"),
    ("not-lost", r"another one, or first --lost --withdraw"),
    ("a-cup", r"one count a cup, or one a cup and hour"),
    ("range", rf"{_NUMBER} to {_NUMBER}(?: (\w+))?(?: (?:(\(of one cup.*\))|\(.*\)|(in such water)))?"),
    ("days", r"within the last ([0-9]+) days"),
    ("line", r"one line of text, 1 to ([0-9]+) characters"),
    ("either", r"(\S+) or (\S+), whichever is meant"),
    ("nothing", r"no (?:amount|unit|detail) for \S+"),
    ("once", r"every key once"),
)


def in_words(glance: Glance, line: str) -> str:
    """A fault beside a field; it may begin with a capital letter."""
    match = re.fullmatch(r"[Ff]ound (.+); allowed(?: for [\w-]+)?: (.+)", line, re.DOTALL)
    language = glance.language
    if match is None or not is_said_anew(language):
        return line
    found, allowed = match.groups()
    if re.fullmatch(r"no \w+", found) and "=…" in allowed:
        return missing(language)
    return refused(language, _said(language, found, _FOUND), _said(language, allowed, _ALLOWED))


def _said(language: str, text: str, known: Sequence[tuple[str, str]]) -> str:
    for name, pattern in known:
        match = re.fullmatch(pattern, text, re.DOTALL)
        if match is not None:
            return part(language, name, match.groups(default=""))
    return text
