"""The report on paper: pages of A4, fonts inside, every word on a page, charts where there is room."""

import re
import zlib
from pathlib import Path

import pytest

from reports.batch.account import written
from reports.batch.lines import lines_of
from reports.batch.paper_child import draw_on_paper
from reports.chart.child_process import DrawingError
from reports.chart.paper import _STYLES, _Flow, draw_paper, wrapped_pt
from tests.kit.batch_samples import account, batch

PAGE = b"/Type /Page\n"
A4 = b"[ 0 0 595.28 841.89 ]"


def pages_of(pdf: bytes) -> int:
    return len(re.findall(rb"/Type /Page\b(?!s)", pdf))


def test_it_is_a4_with_its_fonts_inside_and_the_same_content_gives_the_same_bytes() -> None:
    lines = lines_of(written(account()))
    words_alone = [line for line in lines if line[0] != "picture"]
    pdf = draw_paper("Report", words_alone, {})
    assert pdf == draw_paper("Report", words_alone, {})
    assert len(re.findall(rb"/MediaBox \[ 0 0 595\.2\d* 841\.8\d* \]", pdf)) == pages_of(pdf)
    assert b"/FontFile2" in pdf  # TrueType, embedded: ISO 32000-1, 9.9
    assert b"CreationDate" not in pdf


def test_every_line_stands_on_a_page_within_its_margins() -> None:
    long = [("text", ("word " * 400,)), *[("fact", (f"fact {n}",)) for n in range(120)], ("foot", ("end",))]
    pages = _Flow({}).flow(long)
    assert len(pages) > 2
    said = [text for page in pages for _, _, text, _ in page.words if text != "•"]
    assert " ".join(said).split() == " ".join(cells[0] for _, cells in long).split()
    assert all(50.0 <= top <= 842 - 54 for page in pages for _, top, _, _ in page.words)


def test_a_chart_that_does_not_fit_waits_for_the_next_page_and_the_words_go_on() -> None:
    lines = [("title", ("Batch",)), ("picture", ("one",)), *[("fact", (f"fact {n}",)) for n in range(90)]]
    pages = _Flow({"one": (300.0, 735.0)}).flow(lines)
    assert [len(page.charts) for page in pages[:2]] == [0, 1]
    assert any(text == "fact 20" for _, _, text, _ in pages[0].words)
    assert sum(len(page.charts) for page in pages) == 1


def test_charts_that_wait_at_the_end_have_a_page_each() -> None:
    lines = [("title", ("Batch",)), ("picture", ("one",)), ("picture", ("two",))]
    pages = _Flow({"one": (300.0, 735.0), "two": (300.0, 700.0)}).flow(lines)
    assert [[chart[3] for chart in page.charts] for page in pages] == [[], ["one"], ["two"]]


def test_a_word_that_is_wider_than_the_page_is_broken_and_none_of_it_is_lost() -> None:
    lines = wrapped_pt("x" * 300, 200.0, _STYLES["text"])
    assert len(lines) > 3
    assert "".join(lines) == "x" * 300


def test_a_child_draws_the_whole_report(tmp_path: Path) -> None:
    out = tmp_path / "batch.pdf"
    draw_on_paper(written(account(batch(), batch())), out)
    pdf = out.read_bytes()
    assert pdf.startswith(b"%PDF-")
    assert pdf.count(b"/Subtype /Image") == 2
    assert [path.name for path in tmp_path.iterdir()] == ["batch.pdf"]


def test_where_it_cannot_be_written_the_old_file_stays_and_one_line_says_why(tmp_path: Path) -> None:
    with pytest.raises(DrawingError) as refused:
        draw_on_paper(written(account()), tmp_path / "gone" / "batch.pdf")
    assert "not written" in refused.value.reason
    assert "\n" not in refused.value.reason


def test_umlauts_and_signs_of_the_font_are_drawn_as_text() -> None:
    pdf = draw_paper("Größe", [("text", ("Größe: 24,4 °C, ½ — “so” •",))], {})
    streams = [
        zlib.decompress(found)
        for found in re.findall(rb"stream\r?\n(.*?)\r?\nendstream", pdf, re.DOTALL)
        if found.startswith(b"x")
    ]
    assert any(b"Tj" in stream or b"TJ" in stream for stream in streams)
