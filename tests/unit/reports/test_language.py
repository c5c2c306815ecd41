"""The catalogues of sentences: each sentence of the program is in each language, and nothing else is."""

import ast
import io
import re
import string
import struct
from itertools import chain

import pytest
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po

from daemon.config import parse_station
from daemon.errors import InputError
from reports.language import DOMAIN, ENGLISH, LOCALE, current, languages, say, say_in, say_many, spoken
from reports.letters.stages import STAGES
from reports.page.picture.vessel_picture import FeltWarmth
from reports.page.rendering import STATIC
from tests.kit.checkout import ROOT
from tests.kit.said_sentences import SAYERS, imports_language, sayings, sources, template_sayings, templates

OTHERS = [language for language in languages() if language != ENGLISH]
SPEAKING = (
    "explanation.py",
    "conditions.py",
    *(
        "letters/*.py",
        "chart/*.py",
        "page/**/*.py",
        "planning/*.py",
        "state.py",
        "words.py",
        "amounts.py",
        "times.py",
    ),
    "../daemon/letters/short_words.py",
)


def sentences():
    """Every sentence in the source, as a catalogue keeps it: its context, and it or it with its plural."""
    found = set()
    for path in filter(imports_language, sources()):
        for name, call in sayings(path):
            context, *words = SAYERS[name]
            said = [call.args[place] for place in words]
            if all(isinstance(one, ast.Constant) for one in said):
                texts = tuple(one.value for one in said)
                where = None if context is None else call.args[context].value
                found.add((where, texts[0] if len(texts) == 1 else texts))
    for path in templates():
        for _, name, arguments in template_sayings(path):
            context, *words = SAYERS[name]
            texts = tuple(arguments[place] for place in words)
            assert None not in texts, f"{path}: only whole sentences can be translated"
            where = None if context is None else arguments[context]
            found.add((where, texts[0] if len(texts) == 1 else texts))
    return found


def po(language):
    with (LOCALE / language / "LC_MESSAGES" / f"{DOMAIN}.po").open("rb") as file:
        return read_po(file, locale=language, abort_invalid=True)


def entries(catalogue):
    return {(message.context, message.id): message.string for message in catalogue if message.id}


def table(compiled):
    """What a .mo file holds, as the manual of GNU gettext lays it out; but for who compiled it."""
    magic, _, count, ids, texts = struct.unpack_from("<5I", compiled)
    assert magic == 0x950412DE

    def text(at):
        length, offset = struct.unpack_from("<2I", compiled, at)
        return compiled[offset : offset + length].decode()

    held = {text(ids + 8 * n): text(texts + 8 * n) for n in range(count)}
    held[""] = re.sub(r"Generated-By: .*\n", "", held[""])
    return held


def places(sentence):
    return {name for _, name, _, _ in string.Formatter().parse(sentence) if name is not None}


def forms(said):
    return (said,) if isinstance(said, str) else said


@pytest.mark.parametrize("language", OTHERS)
def test_every_sentence_is_in_the_catalogue_and_no_other(language):
    assert set(entries(po(language))) == sentences()


@pytest.mark.parametrize("language", OTHERS)
def test_every_sentence_is_translated_and_none_is_doubtful(language):
    for message in po(language):
        assert all(forms(message.string)), message.id
        assert not message.fuzzy, message.id
        assert not message.python_format, f"{message.id}: babel would take its % for a place"
    assert not po(language).obsolete


@pytest.mark.parametrize("language", OTHERS)
def test_a_translation_has_the_places_of_its_sentence(language):
    for (_, sentence), said in entries(po(language)).items():
        for form in forms(said):
            assert places(form) == places(forms(sentence)[-1]), sentence


@pytest.mark.parametrize("language", OTHERS)
def test_a_translation_begins_and_ends_as_its_sentence(language):
    """Marks and blanks at the ends are what a sentence is joined to others by."""
    for (context, sentence), said in entries(po(language)).items():
        for form in forms(said):
            assert form == form.strip()
            if context not in ("short month", "decimal mark"):
                assert (form[-1] == ".") == (forms(sentence)[-1][-1] == "."), sentence


@pytest.mark.parametrize("language", OTHERS)
def test_the_compiled_catalogue_holds_what_the_readable_one_says(language):
    shipped = (LOCALE / language / "LC_MESSAGES" / f"{DOMAIN}.mo").read_bytes()
    anew = io.BytesIO()
    write_mo(anew, po(language))
    assert table(shipped) == table(anew.getvalue())


def test_a_catalogue_of_every_language_is_shipped_and_may_be_set():
    assert sorted(path.parent.parent.name for path in LOCALE.glob("*/LC_MESSAGES/*.po")) == OTHERS
    assert "de" in OTHERS
    with pytest.raises(InputError, match=f"station.language: found 'x'; allowed: {' or '.join(languages())}"):
        parse_station('[station]\nname = "x"\ntimezone = "Europe/Lisbon"\nlanguage = "x"', "station.toml")


def test_sentences_are_said_only_where_those_who_collect_them_look():
    """DEVELOPERS.md collects from these two folders, by babel, which does not look into f-strings."""
    for path in filter(imports_language, sources()):
        assert path.is_relative_to(ROOT / "reports") or path.is_relative_to(ROOT / "daemon/letters"), path
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.JoinedStr):
                assert not said_words(node), f"{path}:{node.lineno}"


def said_words(node):
    return [
        call
        for call in ast.walk(node)
        if isinstance(call, ast.Call)
        and isinstance(call.func, ast.Name)
        and call.func.id in SAYERS
        and isinstance(call.args[0], ast.Constant)
    ]


def silent(tree):
    """Nodes whose strings nobody reads: docstrings, what is said, keys, errors, formats of dates."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            yield node
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in SAYERS:
            yield node
        if isinstance(node, ast.Raise):
            yield node


def speaking():
    """All but the child that draws: what it says stands in a log, in English."""
    paths = chain.from_iterable((ROOT / "reports").glob(name) for name in SPEAKING)
    return (path for path in paths if path.name != "child_process.py")


@pytest.mark.parametrize("path", sorted(speaking()), ids=lambda path: path.name)
def test_no_words_stand_outside_what_can_be_translated(path):
    tree = ast.parse(path.read_text("utf-8"))
    quiet = {id(inner) for node in silent(tree) for inner in ast.walk(node)}
    left = [
        node.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in quiet
    ]
    wordy = [text for text in left if _two_words(text)]
    assert [text for text in wordy if not _for_machines(text)] == []


def _two_words(text):
    return re.search(r"[a-z]{2,}[,.;:]? [a-z]{2,}", text) is not None


def _for_machines(text):
    """Commands to copy, HTML and its styles, names of fonts, fates, stages, matplotlib's message."""
    marks = (
        "naupliad care add",
        "--detail",
        "<",
        ":root",
        "margin:",
        "font",
        "solid",
        "DejaVu Sans",
        "@media",
        "cell none",
    )
    marks += ("Glyph", "told again")
    names = {*STAGES, *(felt.value for felt in FeltWarmth)}
    return text in names or _is_classes(text) or any(mark in text for mark in marks)


def _is_classes(text):
    """Names of classes in the page's style, or what such names begin with."""
    style = "".join(path.read_text("utf-8") for path in STATIC.glob("*.css"))
    classes = set(re.findall(r"\.([a-z][\w-]*)", style))
    return all(any(one == name or name.startswith(one) for name in classes) for one in text.split())


def test_english_is_spoken_unless_another_language_is_asked_for():
    assert (current(), say("today")) == ("en", "today")
    with spoken("de"):
        assert (current(), say("today")) == ("de", "heute")
        with spoken("en"):
            assert say("today") == "today"
        assert say("today") == "heute"
    assert say("today") == "today"


def test_an_unknown_language_is_answered_in_english():
    with spoken("tlh"):
        assert (current(), say("today")) == ("en", "today")


def test_the_language_is_put_back_when_a_letter_fails():
    with pytest.raises(KeyError), spoken("de"):
        say("Limit: {temperature}.")
    assert current() == "en"


def test_one_word_with_two_meanings_has_two_translations():
    with spoken("de"):
        assert say_in("pour into", "each cup") == "jeden Becher"
        assert say_in("in, out of", "each cup") == "jedem Becher"


def test_a_number_bends_the_words_beside_it():
    with spoken("de"):
        said = [say_many("{count} alarm open", "{count} alarms open", count) for count in (1, 2)]
    assert said == ["1 Alarm offen", "2 Alarme offen"]


def test_values_are_put_in_as_they_are():
    assert say("Limit: {temperature}.", temperature="{0} %s {x}") == "Limit: {0} %s {x}."
