"""Words beside a vessel: apart from each other and from its lines, and whole."""

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reports.language import spoken
from reports.page.picture.labels import Caption, spread, width, wrapped
from reports.page.picture.level import scale_of
from reports.page.picture.outline import outline_of
from reports.page.picture.sizes import PLACES
from reports.page.picture.vessel_picture import KINDS
from reports.page.picture.writing import captions_of
from reports.records import Range
from tests.kit.vessel_pictures import of_kind

SIZES = [size for size, room in PLACES.items() if room.letter]
# At the mark, near each line, far off, and as unsure as can be: as shares of the way to the low mark.
LEVELS = [
    (0, 0, 0),
    (-0.1, 0, 0.1),
    (0.7, 0.9, 1.3),
    (-0.9, -0.7, -0.6),
    (-2, -1, -0.9),
    (2, 3, 4),
    (-0.5, 0.3, 2),
]


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("count", [1, 24])
@pytest.mark.parametrize("brim", [0.0, 0.01, 0.1, 0.75, 3.0])
@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("size", SIZES)
def test_no_words_lie_on_others_or_on_a_line(size, kind: str, brim: float, count: int, language: str) -> None:
    room = PLACES[size]
    for level in LEVELS:
        low_ml = of_kind(kind).low_ml
        loss_ml = Range(*(share * low_ml for share in level))
        picture = of_kind(kind, count=count, brim_ml=brim * low_ml, loss_ml=loss_ml)
        outline = outline_of(picture.shape, room, room.bottom_y(count))
        scale = scale_of(picture, outline.rim_y, room.brim_y, room.low_y, outline.bottom_y)
        with spoken(language):
            captions = captions_of(picture, outline, scale, room)
        for one, other in itertools.combinations(captions, 2):
            assert not lie_on_each_other(one, other), (one, other)
        for caption in captions:
            left, top, right, bottom = caption.box
            # No line reaches further than the pointer at the widest vessel's wall.
            assert right <= room.centre_x - room.widest - 5 or left >= room.centre_x + room.widest + 10
            assert left >= 0
            assert right <= room.width
            assert top >= room.rim_y - room.letter - 1e-6, "words above the vessel begin there"
            assert bottom <= room.bottom_y(count)


def lie_on_each_other(one: Caption, other: Caption) -> bool:
    a, b = one.box, other.box
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


WORDS = st.lists(st.text("abmiW.\u00ad", min_size=1, max_size=9), min_size=1, max_size=5).map(" ".join)


@given(WORDS, st.floats(20.0, 200.0))
def test_wrapped_words_are_whole_and_each_line_has_room_unless_a_piece_alone_has_none(text, room) -> None:
    lines = wrapped(text, 16.0, room)
    assert "".join(lines).replace("-", "").replace(" ", "") == text.replace("\u00ad", "").replace(" ", "")
    pieces = {piece for word in text.split() for piece in word.split("\u00ad")}
    hyphen = width("-", 16.0, bold=False)
    for line in lines:
        assert width(line, 16.0, bold=False) <= room + hyphen or line.rstrip("-") in pieces


def test_a_long_word_is_broken_where_a_soft_hyphen_allows_it() -> None:
    assert wrapped("Mindest\u00admarke", 16.0, 84.0) == ("Mindest-", "marke")
    assert wrapped("Mindest\u00admarke", 16.0, 300.0) == ("Mindestmarke",)


@given(st.lists(st.floats(60.0, 200.0), min_size=1, max_size=4))
@settings(max_examples=50)
def test_spread_words_keep_their_order_and_do_not_touch(heights: list[float]) -> None:
    captions = [Caption(("word",), 0.0, y, 16.0) for y in heights]
    placed = spread(captions, 50.0, 210.0)
    assert [one.y for one in placed] == sorted(one.y for one in placed)
    for one, other in itertools.pairwise(placed):
        assert one.box[3] <= other.box[1]
    assert placed[0].box[1] >= 50.0 - 1e-6
    assert placed[-1].box[3] <= 210.0 + 1e-6
