"""The sentences in German claim as much as the English ones, and no more."""

import re
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from daemon.planning.experiment.result import result_of
from daemon.science.replicate_cups import Cup
from reports.experiment.dot_plot import dot_plot
from reports.experiment.in_language import written
from reports.experiment.sentence import for_children, for_report
from tests.kit.command_line import naupliad
from tests.kit.counted_cups import CLASS, counted

NEVER = re.compile(r"kein Unterschied (?!nachgewiesen)|spielt keine|egal|beweist", re.IGNORECASE)
cup = st.integers(1, 60).flatmap(lambda of: st.tuples(st.integers(0, of), st.just(of)))


@given(st.lists(st.lists(cup, min_size=1, max_size=6), min_size=1, max_size=4))
@settings(deadline=None)
def test_german_claims_what_p_supports_and_nothing_more(levels: list[list[Cup]]) -> None:
    found = result_of(counted(levels))
    rare = found.tested.p is not None and found.tested.p <= 0.05
    child, report = written("de", for_children, found), written("de", for_report, found)
    assert ("dass nicht alle Stufen gleich sind" in child) == rare
    assert ("sind nicht alle Stufen gleich" in report) == rare
    alike = len({level.share for level in found.levels}) == 1
    looks = "sieht nach einem Unterschied aus" in child
    not_sure = found.tested.p is not None and not rare and not alike
    assert ("Wir wissen also nicht" in child or looks) == not_sure
    assert not looks or found.tested.p == found.tested.smallest_p
    assert not NEVER.search(child)
    assert not NEVER.search(report)


def test_a_picture_and_a_command_speak_german_too(tmp_path: Path) -> None:
    assert 'lang="de"' in written("de", dot_plot, result_of(counted(CLASS)))
    (tmp_path / "counts.csv").write_text("level,cup,of,hatched\na,1,9,1\nb,1,9,5\n", encoding="utf-8")
    said = naupliad("experiment", "result", "--csv", tmp_path / "counts.csv", "--language", "de")
    assert said.out.startswith(
        "Auf der Stufe b schlüpften mehr (56 von 100) als auf der Stufe a (11 von 100)."
    )
