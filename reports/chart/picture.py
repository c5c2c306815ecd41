"""A drawn figure as bytes, PNG, SVG or PDF: the same figure gives the same bytes, with no date in them."""

import io
from typing import Any
from xml.sax.saxutils import escape

import matplotlib as mpl
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from PIL import Image
from PIL.PngImagePlugin import PngInfo

_COLOURS = 255
# What names the parts of an SVG is made from this and their content, not from chance.
_SALT = "naupliad"


def picture_of(figure: Figure, form: str, title: str, told: str) -> bytes:
    """The figure as "png", "svg" or "pdf"; SVG and PDF carry the title, SVG and PNG what it tells."""
    if form == "svg":
        return _svg(figure, title, told)
    return _pdf(figure, title) if form == "pdf" else _png(figure, told)


def _png(figure: Figure, told: str) -> bytes:
    """A picture of few colours: a quarter of the bytes of a full one, for slow lines and small mail boxes."""
    canvas = FigureCanvasAgg(figure)
    canvas.draw()  # type: ignore[no-untyped-call]  # matplotlib leaves the types of these two out
    # Read where it lies: a tall chart is 20 MB, and a figure saved as raw bytes lies there three times.
    lies = canvas.buffer_rgba()  # type: ignore[no-untyped-call]
    drawn = Image.frombuffer("RGBA", canvas.get_width_height(), lies, "raw", "RGBA", 0, 1).convert("RGB")
    notes = PngInfo()
    notes.add_text("Software", "naupliad")
    notes.add_itxt("Description", told)
    picture = io.BytesIO()
    drawn.quantize(_COLOURS, Image.Quantize.MAXCOVERAGE, dither=Image.Dither.NONE).save(
        picture, format="PNG", pnginfo=notes
    )
    return picture.getvalue()


def _svg(figure: Figure, title: str, told: str) -> bytes:
    """With the words for those who cannot see it where SVG 2 wants them: `title` and `desc` of the root."""
    drawn = io.BytesIO()
    bare: Any = {"Date": None, "Creator": None, "Format": None, "Type": None}
    with mpl.rc_context({"svg.hashsalt": _SALT, "svg.fonttype": "path"}):
        figure.savefig(drawn, format="svg", metadata=bare)
    head, tag, rest = drawn.getvalue().decode("utf-8").partition("<svg ")
    attributes, _, content = rest.partition(">")
    told_of = f"<title>{escape(title)}</title>\n <desc>{escape(told)}</desc>"
    return f'{head}{tag}role="img" {attributes}>\n {told_of}{content}'.encode()


def _pdf(figure: Figure, title: str) -> bytes:
    drawn = io.BytesIO()
    notes: Any = {"Title": title, "Creator": "naupliad", "Producer": None, "CreationDate": None}
    with mpl.rc_context({"pdf.fonttype": 42}):
        figure.savefig(drawn, format="pdf", metadata=notes)
    return drawn.getvalue()
