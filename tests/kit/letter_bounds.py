"""How long an English letter may be, and how early it must say what to do: our own choice, no source.

Counted in the plain text as it goes out, with signature and number, by what stands between spaces; the rules
under headings and the marks before a line are no words.
"""

import re
from collections.abc import Iterator

from tests.kit.text_table import table_in

# The first screen of a phone holds some forty-five words.
DO_WITHIN_WORDS = 45
SENTENCE_WORDS = 25
SUBJECT_BELOW = 60
# Of one group of alike vessels; what more of them, and what else waits to be said, may add.
# A harvest has many steps, and two ends of its window; salt is put right by taking out and pouring in.
WORDS, WORDS_OF_KIND = 150, {"water": 170, "nightly": 200, "return": 200, "harvest": 200, "leave": 250}
ROW_WORDS, ALSO_WORDS, HELD_WORDS, LINE_WORDS = 20, 25, 20, 10
# What is wrong, or not known, beyond the first two of it.
WRONG_WORDS, WRONG_WITHIN = 20, 2
# A step of a deed beyond the third.
STEP_WORDS, STEPS_WITHIN = 20, 3
# How to mix brine.
MIX_WORDS = 30
# What keeps hands from a live heater has room of its own.
HEATER_WORDS = 25

_DO, _RECORD = "Do this:", "Then write it in the care log:"
_WRONG = re.compile(r"- (?:Alarm|Meanwhile|Probe|In the care log meanwhile|What happened in between)\b")
_UNPLUG = re.compile(r"unplug (?:the|its) heater")
_LABEL = re.compile(r"(?:Do this|Take care): ")
_COMMAND = re.compile(r"naupliad [a-z].*")
_HELD = re.compile(r"- Letter \d+, ")


def faults(letter_text: str, kind: str, subject: str = "", slack: float = 1.0) -> list[str]:
    """What of a plain letter is longer, or comes later, than it may, in words; empty where nothing is.

    `slack` is by how much longer it and its sentences may be all the same.
    """
    return list(_faults(letter_text, kind, subject, slack))


def _faults(text: str, kind: str, subject: str, slack: float) -> Iterator[str]:
    if len(subject) >= SUBJECT_BELOW:
        yield f"a subject of {len(subject)} characters: {subject}"
    before = do_at(text)
    if before is None:
        yield f"no “{_DO}”"
    elif before > DO_WITHIN_WORDS:
        yield f"“{_DO}” after {before} words"
    if words(text) > slack * most_words(text, kind):
        yield f"{words(text)} words, of {most_words(text, kind)} for {groups(text)} groups"
    longest = max(sentences(text), key=words, default="")
    if words(longest) > slack * SENTENCE_WORDS:
        yield f"a sentence of {words(longest)} words: {longest}"


def words(text: str) -> int:
    """How many there are, by spaces."""
    return sum(any(map(str.isalnum, word)) for word in text.split())


def do_at(text: str) -> int | None:
    """After how many words it says what to do; None where it does not."""
    before, found, _ = text.partition(_DO)
    return words(before) if found else None


def most_words(text: str, kind: str) -> int:
    """How many a letter of the kind may have, with so many rows and other things to say."""
    also = sum(line.startswith("- ") for line in _under(text, "Also"))
    held = len(_HELD.findall(text)) if kind == "digest" else 0
    lines = sum(line.startswith("- ") for line in _part(text, _RECORD))
    more = ROW_WORDS * (groups(text) - 1) + ALSO_WORDS * also + HELD_WORDS * max(held - 1, 0)
    more += WRONG_WORDS * max(_wrong(text) - WRONG_WITHIN, 0)
    more += STEP_WORDS * max(_steps(text) - STEPS_WITHIN, 0)
    more += MIX_WORDS * ("The brine: " in text)
    more += LINE_WORDS * max(lines - 1, 0) + (HEATER_WORDS if _UNPLUG.search(" ".join(text.split())) else 0)
    return WORDS_OF_KIND.get(kind, WORDS) + more


def groups(text: str) -> int:
    """How many groups of alike vessels it tells of: the rows of its longest table, or one."""
    tables = (table_in(part.splitlines()) for part in _parts(text))
    return max((len(table) - 1 for table in tables if table is not None), default=1)


def sentences(text: str) -> list[str]:
    """Its sentences, to a semicolon too, and its lines of facts; without tables, headings, lines to copy."""
    prose = [line for part in _parts(text) for line in _prose(part.splitlines())]
    return [sentence for line in prose for sentence in re.split(r"(?<=[.!?;]) ", line) if words(sentence)]


def _prose(lines: list[str]) -> list[str]:
    """The paragraph, title and facts of a part, each on one line."""
    if table_in(lines) is not None or any(re.fullmatch(r"-+", line) for line in lines):
        return []
    joined: list[str] = []
    for line in lines:
        if joined and (line.startswith("  ") or not {"- "} & {line[:2], joined[-1][:2]}):
            joined[-1] += f" {line.strip()}"
        else:
            joined.append(line)
    return [_COMMAND.sub("", _LABEL.sub("", line.removeprefix("- "))) for line in joined]


def _parts(text: str) -> list[str]:
    return [part for part in text.split("\n\n") if part.strip()]


def _wrong(text: str) -> int:
    """How many things it tells of that are wrong, or were, or are not known."""
    lines = [*_part(text, "What is not well, or not known"), *filter(_WRONG.match, text.splitlines())]
    return sum(line.startswith("- ") for line in lines)


def _steps(text: str) -> int:
    """How many steps the deed has."""
    deed = next((part for part in _parts(text) if part.startswith(_DO)), "")
    return 1 + " ".join(deed.split()).count(" Then ")


def _part(text: str, title: str) -> list[str]:
    """The lines of the part that begins with a title."""
    found = (part.splitlines() for part in _parts(text))
    return next((lines for lines in found if lines[0] == title), [])


def _under(text: str, heading: str) -> list[str]:
    """The lines of the part after a heading."""
    parts = _parts(text)
    at = next((n for n, part in enumerate(parts) if part.splitlines()[0] == heading), None)
    return [] if at is None else [line for part in parts[at : at + 2] for line in part.splitlines()]
