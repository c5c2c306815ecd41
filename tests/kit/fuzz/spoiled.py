"""Spoiled input: valid examples with tokens, lines and bytes changed, and what a reader may do with them.

A target is one reader that meets the outside, the inputs it is tried with, and what must hold. The tests and
the long run of `tests/bench/fuzz.py` use the same targets.
"""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from hypothesis import strategies as st

from daemon.errors import InputError, NaupliadError
from sensors.errors import SensorError

# What has broken readers of text before: numbers no float or clock holds, digits that are none, control
# characters, half a character pair, marks of byte order, times that a day does not have.
TOKENS = (
    *("", "0", "-0", "-0.0", "-1", "1", "2", "1e400", "-1e400", "1e-400", "nan", "-inf", "inf", "Infinity"),
    *(
        "9" * 5000,
        "1" + "0" * 30,
        str(2**31),
        str(2**63),
        str(-(2**63) - 1),
        "1_000",
        "0x10",
        "１２",
        "٣",
        "½",
    ),
    *("true", "null", "[]", "{}", "[" * 3000, "{a=" * 3000, '{"a":' * 3000, "a." * 400 + "a", "''", '"""'),
    *("0001-01-01", "9999-12-31", "2027-02-30", "0001-01-01T00:00:00+23:59", "9999-12-31T23:59:59-23:59"),
    *(
        "1970-01-01T00:00:00+23:59",
        "2199-12-31T23:59:59-23:59",
        "2027-03-28T01:30:00",
        "2027-02-12T12:00:60Z",
    ),
    *("24:00", "02:30", "1:5", "x" * 2500, "x" * 30_000, "\N{SUPERSCRIPT TWO}", "é", "\N{PILE OF POO}"),
)
CHARACTERS = (
    *("\0", "\x01", "\x08", "\t", "\n", "\x0b", "\x0c", "\r", "\x1b[2J", "\x1c", "\x7f", "\x85", "\xa0", " "),
    *(
        "\u200e",
        "\u2028",
        "\u202e",
        "\ufeff",
        "\ud800",
        "\udcff",
        '"',
        "'",
        ",",
        ";",
        ":",
        "=",
        "-",
        "+",
        ".",
    ),
    *("\\", "#", "[", "]", "{", "}", "%", "$", "/", "\\u0000", "\\ud800", "\r\n", "\n\n"),
)
_TOKEN = re.compile(r"[\w.+-]+|\s+|[^\w\s]")
_CHANGES = (
    "token",
    "token",
    "token",
    "own",
    "own",
    "put",
    "put",
    "drop",
    "lines",
    "cut",
    "crlf",
    "bytes",
    "bom",
)


@st.composite
def spoiled(draw: st.DrawFn, examples: Sequence[str | bytes]) -> bytes:
    """One of the examples after up to five changes; sometimes none, sometimes bytes of no example at all."""
    if draw(st.integers(0, 19)) == 0:
        return draw(st.binary(max_size=300))
    example = draw(st.sampled_from(examples))
    text = example if isinstance(example, str) else example.decode("utf-8", "surrogateescape")
    torn = False
    for change in draw(st.lists(st.sampled_from(_CHANGES), max_size=5)):
        torn = torn or change == "bytes"
        text = text if change == "bytes" else _changed(draw, change, text)
    raw = text.encode("utf-8", "surrogateescape" if _escaped(text) else "surrogatepass")
    return _torn(draw, raw) if torn else raw


def spoiled_text(examples: Sequence[str]) -> st.SearchStrategy[str]:
    """The same as text, as a command's argument holds it: bytes that are no UTF-8 are half pairs."""
    return spoiled(examples).map(lambda raw: raw.decode("utf-8", "surrogateescape"))


def _escaped(text: str) -> bool:
    """Whether every half pair stands for a byte, as `surrogateescape` writes them."""
    return all("\udc80" <= letter <= "\udcff" for letter in text if "\ud800" <= letter <= "\udfff")


def _changed(draw: st.DrawFn, change: str, text: str) -> str:
    match change:
        case "crlf":
            return text.replace("\n", draw(st.sampled_from(("\r\n", "\r", "\n\n"))))
        case "bom":
            return "\ufeff" + text
        case "cut":
            return text[: draw(st.integers(0, len(text)))]
        case "put":
            at = draw(st.integers(0, len(text)))
            return (
                text[:at]
                + draw(st.sampled_from(CHARACTERS)) * draw(st.sampled_from((1, 1, 2, 12)))
                + text[at:]
            )
        case "lines":
            return _other_lines(draw, text)
        case _:
            return _other_token(draw, change, text)


def _other_token(draw: st.DrawFn, change: str, text: str) -> str:
    tokens = _TOKEN.findall(text)
    if not tokens:
        return draw(st.sampled_from(TOKENS))
    words = [place for place, token in enumerate(tokens) if token[0].isalnum() or token[0] in "+-._"]
    at = draw(st.sampled_from(words or range(len(tokens))))
    if change == "token":
        tokens[at] = draw(st.sampled_from(TOKENS))
    elif change == "own":  # a token of the same text: right in kind, wrong in place
        tokens[at] = draw(st.sampled_from(tokens))
    else:
        del tokens[at]
    return "".join(tokens)


def _other_lines(draw: st.DrawFn, text: str) -> str:
    lines = text.split("\n")
    one, other = (draw(st.integers(0, len(lines) - 1)) for _ in range(2))
    match draw(st.sampled_from(("swap", "double", "drop"))):
        case "swap":
            lines[one], lines[other] = lines[other], lines[one]
        case "double":
            lines.insert(other, lines[one])
        case _:
            del lines[one]
    return "\n".join(lines)


def _torn(draw: st.DrawFn, raw: bytes) -> bytes:
    at = draw(st.integers(0, len(raw)))
    gone = draw(st.integers(0, 4))
    return raw[:at] + draw(st.binary(max_size=4)) + raw[at + gone :]


@dataclass(frozen=True)
class Target:
    """A reader that meets the outside.

    `meet` gives it one of the `inputs` and says whether it took it; it raises where the reader breaks its
    contract. `share` is how many inputs it is tried with, as a share of the run's.
    """

    name: str
    inputs: st.SearchStrategy[Any]
    meet: Callable[[Any], bool]
    share: float = 1.0


def is_one_clear_line_each(error: Exception) -> bool:
    """Holds a refusal to its form: lines that a terminal shows as they are, and not for pages."""
    lines = error.faults if isinstance(error, InputError) else (str(error),)
    assert lines, "a refusal that says nothing"
    for line in lines:
        assert line.strip(), "an empty line"
        assert line.isprintable(), f"a line with control characters: {line!r}"
        assert len(line) < 3000, f"a line of {len(line)} characters: {line[:200]!r}"
    return True


def taken(read: Callable[[], object], never_told: str = "") -> bool:
    """Whether a reader takes what it meets; refusing it in clear lines is the only other thing it may do.

    `never_told` must not stand in them: a secret. (One of a few letters may, by chance.)
    """
    refusal: Exception | None = None
    try:
        read()
    except (NaupliadError, SensorError) as error:
        refusal = error
    if refusal is None:
        return True
    assert len(never_told) < 6 or never_told not in str(refusal)
    return not is_one_clear_line_each(refusal)
