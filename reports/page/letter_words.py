"""A letter as part of a page: its HTML read tag by tag, and only what letters are made of written anew.

Letters carry styles of their own, for mail programs; a page allows none (CSP), and trusts nothing that stood
in a store. What is no tag of a letter's is left out and its words are kept; what is no word at all (styles,
scripts) goes with it.
"""

from collections.abc import Iterable
from html.parser import HTMLParser

from markupsafe import Markup, escape

# What a letter's tags become on the page, where a heading stands above them already.
_KEPT = ("h2", "p", "ul", "li", "strong", "code", "table", "thead", "tbody", "tr", "th", "td", "span")
_TAGS = {"h1": "p", **{tag: tag for tag in _KEPT}}
_CLASSES = frozenset({"box", "name", "cell", "none", "label"})
_SCOPES = frozenset({"row", "col"})
_NO_WORDS = frozenset({"head", "style", "script", "title", "template", "svg", "math", "iframe", "object"})


def letter_words(html: str, text: str, picture: str = "") -> Markup:
    """A letter as HTML for a page; one that has no `html` by its `text`.

    `picture` is the address of its chart (empty: it is left out).
    """
    if not html.strip():
        return Markup('<div class="letter"><pre>{}</pre></div>').format(text)
    reader = _Reader(picture)
    reader.feed(html)
    reader.close()
    return Markup('<div class="letter">{}</div>').format(Markup("").join(reader.written()))


class _Reader(HTMLParser):
    def __init__(self, picture: str) -> None:
        super().__init__(convert_charrefs=True)
        self._picture = picture
        self._parts: list[Markup] = []
        self._open: list[str] = []
        self._wordless = 0

    def written(self) -> Iterable[Markup]:
        """All that was read; what was left open is closed."""
        return [*self._parts, *(_end(tag) for tag in reversed(self._open))]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        if tag in _NO_WORDS:
            self._wordless += 1
        elif tag == "img":
            self._show(given.get("alt") or "")
        elif tag in _TAGS and not self._wordless:
            self._open.append(tag)
            self._parts.append(_begin(tag, given))

    def handle_endtag(self, tag: str) -> None:
        if tag in _NO_WORDS:
            self._wordless = max(self._wordless - 1, 0)
        elif not self._wordless and tag in self._open:
            while (last := self._open.pop()) != tag:
                self._parts.append(_end(last))
            self._parts.append(_end(tag))

    def handle_data(self, data: str) -> None:
        if not self._wordless:
            self._parts.append(escape(data))

    def _show(self, alt: str) -> None:
        if self._picture and not self._wordless:
            image = Markup('<a href="{0}"><img class="chart" src="{0}" alt="{1}"></a>')
            self._parts.append(image.format(self._picture, alt))


def _begin(tag: str, given: dict[str, str | None]) -> Markup:
    names = [name for name in (given.get("class") or "").split() if name in _CLASSES]
    if tag == "h1":
        names = ["lead"]
    elif tag == "span" and not names:
        names = ["whole"]
    scope = given.get("scope")
    written = Markup(' class="{}"').format(" ".join(names)) if names else Markup("")
    if scope in _SCOPES:
        written += Markup(' scope="{}"').format(scope)
    return Markup("<{}{}>").format(_TAGS[tag], written)


def _end(tag: str) -> Markup:
    return Markup("</{}>").format(_TAGS[tag])
