"""What a page leaves out of lines that a program wrote: whoever reads it may be anybody in the room."""

import re

from reports import words

# Of an address for letters who it is; of a web address what follows the host, which may be a key.
_PERSON = re.compile(r"[^\s@<>\"'(),;]+@(?=[\w.-])")
_PATH = re.compile(r"(\w+://)[^\s\"'<>]*?([\w.-]*(?::\d+)?)(?=[/?#])[^\s\"'<>]*")
# What stands in these tables of a station file may be a name, an address or a key, however it is written.
_FOUND = re.compile(r"\b((?:post|webhook|alive|mqtt)\b[^;]*?: found ).*?(?=; allowed|$)")


def masked(line: str) -> str:
    """The line, with nobody's address, no path of a web address, and nothing found where keys stand."""
    hidden = _FOUND.sub(r"\1…", words.clean(line))
    return _PERSON.sub("…@", _PATH.sub(r"\1\2/…", hidden))
