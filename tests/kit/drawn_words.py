"""The words of a chart as they were drawn: each with its size and its box in the picture."""

from dataclasses import dataclass
from unittest.mock import patch

from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.text import Text
from matplotlib.transforms import Bbox

from reports.chart.night_chart import draw_night


@dataclass(frozen=True)
class Drawn:
    """Words, their size in points of the picture, their box in pixels from its lower left corner."""

    text: str
    size: float
    box: Bbox


def drawn_figure(record):
    """The figure of a record's chart, and the picture made of it."""
    figure, picture, _ = drawn(record)
    return figure, picture


def drawn_words(record):
    """All that can be read in a record's chart, the numbers at the axes too."""
    return drawn(record)[2]


def drawn(record):
    """The figure, the picture and all that can be read in it."""
    kept = []
    draw = FigureCanvasAgg.draw

    def spy(canvas):
        draw(canvas)
        kept.append((canvas.figure, _words_in(canvas.figure)))  # here its language is still spoken

    with patch.object(FigureCanvasAgg, "draw", spy):
        picture = draw_night(record)
    figure, words = kept[-1]
    return figure, picture, words


def _words_in(figure):
    canvas = FigureCanvasAgg(figure).get_renderer()
    beside = {text for axes in figure.findobj(Axes) for text in _out_of_view(axes, canvas)}
    return [
        Drawn(text.get_text(), text.get_fontsize(), text.get_window_extent(canvas))
        for text in figure.findobj(Text)
        if text.get_visible() and text.get_text().strip() and text not in beside
    ]


def _out_of_view(axes, canvas):
    """The numbers that an axis keeps beyond its ends and does not draw; all of one that is off."""
    for axis, ends in ((axes.yaxis, axes.bbox.intervaly), (axes.xaxis, axes.bbox.intervalx)):
        for label in axis.get_ticklabels(which="both"):
            box = label.get_window_extent(canvas)
            middle = (box.y0 + box.y1) / 2 if axis is axes.yaxis else (box.x0 + box.x1) / 2
            if not axes.axison or not ends[0] - 3 <= middle <= ends[1] + 3:
                yield label
