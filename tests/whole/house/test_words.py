"""One word for one thing: what people read keeps to the table of words, in short sentences."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.kit.checkout import REFERENCE, ROOT
from tests.kit.pages import rows, section, words
from tests.kit.said_sentences import COMMANDS, imports_language, sentences_of, sources, templates

MOST_WORDS = 25
NOT_USED = [
    word
    for row in rows(section(REFERENCE / "words.md", "Not used in letters, charts and commands"))
    for word in words(row[0])
]
SPEAKING = sorted(
    {str(path.relative_to(ROOT)) for path in sources() if imports_language(path)}
    | {str(path.relative_to(ROOT)) for path in [*COMMANDS, *templates()]}
)
_TYPED = r"^ *naupliad .*$"


def faults(name: str) -> list[str]:
    """What a module says against the table, by file and line."""
    return [
        f"{name}:{line}: {fault}: {text}"
        for line, text in sentences_of(ROOT / name)
        for fault in [*unused_words(text), *too_long(text)]
    ]


def unused_words(text: str) -> Iterator[str]:
    """Words that are not used, but for places, and keys and lines to type (`lot=blue tin`)."""
    said = re.sub(r"\{[^}]*\}", "…", re.sub(_TYPED, "", text, flags=re.MULTILINE))
    for word in NOT_USED:
        if re.search(rf"(?<![\w-]){re.escape(word)}(?![\w=-])", said, re.IGNORECASE):
            yield f"says {word!r}"


def too_long(text: str) -> Iterator[str]:
    """Sentences of over 25 words; a place counts as one, and lines to type count for nothing."""
    said = re.sub(r"\{[^}]*\}", "…", re.sub(_TYPED, "", text, flags=re.MULTILINE))
    for sentence in re.split(r"[.!?;](?=\s|$)|—|\n\s*\n|\n\d\.", said):
        if (count := len(sentence.split())) > MOST_WORDS:
            yield f"{count} words"


@pytest.mark.parametrize("name", SPEAKING)
def test_what_people_read_keeps_to_the_words_in_short_sentences(name: str) -> None:
    found = faults(name)
    assert not found, "\n".join(found)


def test_the_words_that_were_once_three_for_one_thing_stay_on_the_table() -> None:
    three = {"warning", "trouble", "told", "later than can be told", "loss", "put aside", "said"}
    assert three | {"store", "webhook", "lot", "g/kg", "first-swimmer", "at the wall"} <= set(NOT_USED)


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("The store was damaged.", "says 'store'"),
        ("Trouble that was there", "says 'trouble'"),
        ("{trouble} since {when}", None),
        ('add tray-a set 0.05 --detail "lot=blue tin"', None),
        ("Say so:\n    naupliad lot list", None),
        ("Say so: naupliad lot list", "says 'lot'"),
        ("A whole lot of it", "says 'lot'"),
        ("restored, and untold", None),
        ("word " * 26, "26 words"),
        ("word " * 13 + "; " + "word " * 13, None),
        ("{a place} " * 25, None),
    ],
)
def test_a_word_that_is_not_used_or_a_long_sentence_would_be_noticed(text: str, fault: str | None) -> None:
    assert [*unused_words(text), *too_long(text)] == ([] if fault is None else [fault])


@pytest.mark.parametrize(
    ("name", "some"),
    [
        ("daemon/cli/quiet.py", "No letters until {…}, but for water above {…}."),
        ("daemon/cli/backup.py", "The folder for backups."),
        ("daemon/cli/play.py", "Letters:"),
        (
            "daemon/care/plausibility.py",
            "No batch ran in {…} on {…}, so {…}. Is the vessel right, and the time?",
        ),
        ("reports/conditions.py", "the water is too cold"),
    ],
)
def test_sentences_are_found_where_they_stand(name: str, some: str) -> None:
    said = [text for _, text in sentences_of(Path(ROOT, name))]
    assert some in said
    assert all(line > 1 for line, _ in sentences_of(Path(ROOT, name)))
