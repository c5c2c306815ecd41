"""Labels that look like a person's name: they are asked about, since what bears them goes out in letters.

No list of people's names is kept. What is listed is what a label may well say: our creatures, and the words
of daemon/everyday_words.py.
"""

import re
from collections.abc import Iterable
from functools import cache

from daemon.everyday_words import HEADS, NOUN_ENDINGS, OF_A_SHELF, OF_EXPERIMENTS
from reports.page.paper.creatures import in_every_language

_PARTS = re.compile(r"[^\W\d_]+")
_WITHOUT_UMLAUTS = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue", "ß": "ss"})


def looks_like_a_name(label: str) -> bool:
    """Whether a label should be asked about: a word in it begins with a capital, goes on in small letters, is
    two letters or more, and is no everyday word and none of our creatures, in English or German.

    Small letters and capitals alone say nothing: `emma` is not noticed, nor are initials.
    """
    return any(is_no_everyday_word(part) for part in _PARTS.findall(label))


def is_no_everyday_word(word: str) -> bool:
    """Whether one word of a label is written as a name is, and is nothing that we know."""
    if not (len(word) > 1 and word[0].isupper() and word[1:].islower()):
        return False
    plain = _plain(word)
    return not (plain in _known() or plain.endswith(_plain_endings()) or _is_compound(plain))


def to_ask_about(labels: Iterable[str], no_names: Iterable[str]) -> list[str]:
    """The labels that look like a person's name, each once, but for those that somebody said are none."""
    answered = set(no_names)
    return [one for one in dict.fromkeys(labels) if one not in answered and looks_like_a_name(one)]


def _is_compound(plain: str) -> bool:
    """Whether two known words make it, with a German -s-, -n- or -e- between them."""
    known = _known()
    for at in range(3, len(plain) - 1):
        first, second = plain[:at], plain[at:]
        if (
            second in known
            and len(second) > 2
            and any(first.removesuffix(link) in known for link in ("", "s", "n", "en", "es", "e"))
        ):
            return True
    return False


@cache
def _plain_endings() -> tuple[str, ...]:
    return tuple(map(_plain, (*HEADS, *NOUN_ENDINGS)))


@cache
def _known() -> frozenset[str]:
    words = {_plain(word) for line in (*OF_A_SHELF, *OF_EXPERIMENTS) for word in line.split()}
    words.update(_plain(part) for name in in_every_language() for part in _PARTS.findall(name))
    return frozenset(words)


def _plain(word: str) -> str:
    return word.lower().translate(_WITHOUT_UMLAUTS)
