"""What the pages on experiments show is what the program says, and their figures are the program's."""

from pathlib import Path

from daemon.planning.experiment import chosen_test, equal_development, lateness
from daemon.planning.experiment.power import DISPERSION, PLAYED
from daemon.planning.experiment.result import OFTEN
from daemon.science.hatching import pace
from daemon.science.significance import DRAWN_DEALINGS, MOST_ARRANGEMENTS_EXACT
from reports.experiment import design as design_words
from reports.experiment import figures
from tests.kit.checkout import DOCS, ROOT
from tests.kit.command_line import naupliad
from tests.kit.pages import fenced, rows, section

HOW_TO = DOCS / "how-to/experiment-result.md"
EXPLAINED = DOCS / "explanation/experiments.md"


def test_the_table_of_the_page_gives_the_sentence_of_the_page(tmp_path: Path) -> None:
    table, sentence = fenced(HOW_TO, "text")
    (tmp_path / "counts.csv").write_text(table, encoding="utf-8")
    said = naupliad("experiment", "result", "--csv", tmp_path / "counts.csv")
    assert (said.code, said.err) == (0, "")
    assert said.out.splitlines()[0] == " ".join(sentence.split())


def test_the_sentences_that_the_page_explains_are_said() -> None:
    sources = (path.read_text("utf-8") for path in (ROOT / "reports/experiment").glob("*.py"))
    said = " ".join(sources).replace('"\n            "', "").lower()
    told = section(HOW_TO, "What the sentence means").replace("*", "").lower()
    for words in (
        "the levels are not all alike",
        "we do not know whether the level matters",
        "may only be late",
        "now and then",
        "with so few cups nobody can be sure",
        "these counts do not tell the levels apart",
        "nothing hatched yet",
        "each counted when about equally far on",
    ):
        assert words in said
        assert words in told


def test_the_page_that_explains_has_the_programs_figures() -> None:
    page = " ".join(EXPLAINED.read_text("utf-8").split())
    assert f"{chosen_test.CUPS_FOR_THE_MODEL} cups or more in every level" in page
    assert (chosen_test.MOST_TIMES_THE_CYSTS, MOST_ARRANGEMENTS_EXACT, DRAWN_DEALINGS) == (
        2.0,
        1_000_000,
        9999,
    )
    assert "over twice as many cysts" in page
    assert "where those are over a million, by 9,999 drawn at random" in page
    assert (equal_development.EQUAL_WITHIN, lateness.NEAR) == (1.15, 0.05)
    assert "(within 15 %, a judgement)" in page
    assert (figures.OFTEN, figures.RARE) == (OFTEN, chosen_test.RARE) == (0.2, 0.05)
    assert design_words.CUPS_FOR_THE_MODEL == chosen_test.CUPS_FOR_THE_MODEL
    assert '"often" above 20, "now and then" from 5 to 20 (a judgement)' in page
    assert "chance makes in more than 20 of 100 classes" in page
    assert "by less than 5 of 100" in page
    assert f"differ {DISPERSION} times as much" in page
    assert PLAYED == 1000
    assert "plays the experiment a thousand times" in page
    assert round(24 * pace(18.0)) == 11
    assert "at 25 °C had at about 11." in page


def test_every_test_has_its_row_and_every_row_its_test() -> None:
    told = " ".join(cell for row in rows(section(EXPLAINED, "Which test")) for cell in row)
    for words in (
        "none, and why",
        "Fisher's exact test",
        "rank test",
        "exact",
        "drawn at random",
        "quasi-binomial",
    ):
        assert words in told
