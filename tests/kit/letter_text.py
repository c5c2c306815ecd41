"""Reading a letter as tests do: its words in HTML and in text, and how hard they are to read."""

import re
from html.parser import HTMLParser

from tests.kit.reading_age import flesch_kincaid, prose_of
from tests.kit.text_table import table_in


class Body(HTMLParser):
    """An HTML page's words, without the heads that a phone shows in a table's cells, and its pictures."""

    def __init__(self):
        super().__init__()
        self.said, self.pictures, self.links, self.inside, self.label = [], [], [], False, False

    @property
    def words(self):
        return "".join(self.said).split()

    def handle_starttag(self, tag, attrs):
        self.inside = self.inside or tag == "body"
        self.label = self.label or dict(attrs).get("class") == "label"
        if tag not in ("span", "strong", "code", "a"):
            self.said.append(" ")
        if tag == "img":
            self.pictures.append(dict(attrs))
        self.links += [value for name, value in attrs if name in ("src", "href", "background")]

    def handle_endtag(self, tag):
        self.label = self.label and tag != "span"

    def handle_data(self, data):
        if self.inside and not self.label:
            self.said.append(data)


def body(html):
    parsed = Body()
    parsed.feed(html)
    return parsed


def words_of(text):
    return [word for part in text.split("\n\n") for word in _words_of_part(part.splitlines())]


def _words_of_part(lines):
    table = table_in(lines)
    if table is not None:
        return " ".join(cell for row in table for cell in row).split()
    kept = (line.removeprefix("- ") for line in lines if not re.fullmatch(r"-+", line))
    return " ".join(kept).split()


def table_of(letter):
    """The head and the rows of a letter's one table, cell by cell."""
    tables = (table_in(part.splitlines()) for part in letter.text.split("\n\n"))
    (table,) = (one for one in tables if one is not None)
    return table


def flat(letter):
    return " ".join(letter.text.split())


def school_grade(text):
    """The Flesch–Kincaid grade of a letter's prose [M]: 6 is for 11 to 12 years."""
    return flesch_kincaid(prose_of(text))


# Words that stand in nearly every English sentence and in no German one.
ENGLISH = re.compile(
    r"\b(the|and|with|of|is|are|from|to|at|not|you|your|for|since|when|it|this|that|has|have|no|most|likely|"
    r"water|below|above|about|between|hours?|minutes?|days?|cups?|today|yesterday|ago|letters?|station's)\b"
)
