"""A letter on a page: all its words, its tables and boxes, and nothing that a page must not hold."""

import re
from html.parser import HTMLParser

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reports.page.letter_words import letter_words
from tests.kit.letter_pages import NAMES, nightly_of, pages
from tests.kit.letter_text import body

ALLOWED = {
    *("div", "p", "h2", "ul", "li", "strong", "code", "table", "thead", "tbody", "tr", "th", "td", "span"),
    *("pre", "a", "img"),
}
VOID = {"img"}


class Tags(HTMLParser):
    """The tags and attributes of a page, whether they are closed in order, and its words."""

    def __init__(self) -> None:
        super().__init__()
        self.found: set[str] = set()
        self.attributes: set[str] = set()
        self.open: list[str] = []
        self.words: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.add(tag)
        self.attributes |= {name for name, _ in attrs}
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.words += data.split()


def tags(html: str) -> Tags:
    read = Tags()
    read.feed(html)
    read.close()
    assert read.open == []
    return read


@pytest.mark.parametrize("name", NAMES)
def test_a_letter_keeps_its_words_and_loses_its_styles(name: str) -> None:
    letter = pages()[name]
    shown = letter_words(letter.html, letter.text)
    read = tags(shown)
    assert read.found <= ALLOWED
    assert read.attributes <= {"class", "scope"}
    assert body(f"<body>{shown}</body>").words == body(letter.html).words


def test_a_table_stays_a_table_with_the_heads_of_its_columns_in_its_cells() -> None:
    shown = letter_words(pages()["nightly of 6"].html, "")
    assert '<th scope="col">' in shown
    assert '<th class="name" scope="row">' in shown
    assert '<span class="label">' in shown
    assert shown.count('<p class="box">') == 2
    assert shown.count('<p class="lead">') == 1


def test_a_chart_is_shown_from_where_the_page_has_it_or_left_out() -> None:
    letter = nightly_of(1)
    shown = letter_words(letter.html, "", "/letter/3/chart.png")
    assert (
        '<a href="/letter/3/chart.png"><img class="chart" src="/letter/3/chart.png" alt="Chart of ' in shown
    )
    assert "<img" not in letter_words(letter.html, "")


def test_a_letter_without_html_is_its_text() -> None:
    assert letter_words("", "Cold:\n<b>3 °C</b>") == (
        '<div class="letter"><pre>Cold:\n&lt;b&gt;3 °C&lt;/b&gt;</pre></div>'
    )


PIECES = st.one_of(
    st.sampled_from(
        [
            *("<script>", "</script>", "<style>", "</style>", "<p>", "</p>", "<table>", "</table>", "<td>"),
            *('<p style="color:red" onclick="x()">', '<a href="javascript:x()">', "</a>", "<h1>", "</h1>"),
            *('<img src="https://x.example/a.png" onerror=x()>', "<svg onload=x()>", "</svg>", "<!--", "-->"),
            *(
                '<th scope="row" class="name evil">',
                "</th>",
                "<iframe src=//x>",
                "<base href=//x>",
                "&lt;script&gt;",
            ),
            *(
                "<form action=/station/loud>",
                "<input>",
                "<meta http-equiv=refresh>",
                "<![CDATA[",
                "<?x",
                "<p",
                '"',
            ),
        ]
    ),
    st.text(max_size=12),
)


@given(st.lists(PIECES, max_size=14).map("".join), st.sampled_from(["", "/letter/1/chart.png"]))
def test_whatever_stood_in_a_store_nothing_of_it_runs_or_loads(html: str, picture: str) -> None:
    shown = letter_words(html, "text", picture)
    read = tags(shown)
    assert read.found <= ALLOWED
    assert read.attributes <= {"class", "scope"} | ({"href", "src", "alt"} if picture else set())
    assert set(re.findall(r'(?:href|src)="([^"]*)"', shown)) <= {picture}
