"""Every letter of random stations and histories keeps the invariants (tests/kit/invariants).

The long form is `python -m tests.bench.histories --seeds 500`.
"""

import ast
from pathlib import Path

import pytest

from tests.kit.checkout import ROOT
from tests.kit.histories.drawn import drawn_history
from tests.kit.histories.history import History
from tests.kit.invariants import phrases
from tests.kit.invariants.every import findings
from tests.kit.invariants.finding import Finding
from tests.kit.invariants.record import Record

# Short ones, of one vessel, that show much: all are played in some seconds of processor time.
SHORT = (0, 9, 28, 41)
LONG = range(1000, 1030)


def _found(history: History, folder: Path) -> dict[str, list[Finding]]:
    history.play(folder / "out")
    return findings(Record(history.station, folder / "out"))


@pytest.mark.parametrize("seed", SHORT)
def test_every_letter_of_a_random_history_keeps_the_invariants(seed: int, tmp_path: Path):
    assert _found(drawn_history(seed), tmp_path) == {}


@pytest.mark.long
def test_every_letter_of_thirty_random_histories_keeps_them(tmp_path: Path):
    broken: dict[str, list[Finding]] = {}
    for seed in LONG:
        for name, of in _found(drawn_history(seed), tmp_path / str(seed)).items():
            broken.setdefault(name, []).extend(of)
    assert broken == {}


def _sentences() -> str:
    """All text constants of the reports' source, each on a line."""
    sources = [*(ROOT / "reports").rglob("*.py"), *(ROOT / "daemon" / "letters").rglob("*.py")]
    trees = [ast.parse(path.read_text(encoding="utf-8")) for path in sources]
    nodes = (node for tree in trees for node in ast.walk(tree))
    return "\n".join(n.value for n in nodes if isinstance(n, ast.Constant) and isinstance(n.value, str))


def test_the_words_that_the_invariants_look_for_stand_in_the_reports():
    said = _sentences()
    gone = {
        name: piece for name, phrase in phrases.EVERY.items() for piece in phrase.sources if piece not in said
    }
    assert gone == {}, "these invariants would be blind: bring tests/kit/invariants/phrases.py up to date"


def test_a_history_is_the_same_at_every_call():
    assert drawn_history(7) == drawn_history(7)
