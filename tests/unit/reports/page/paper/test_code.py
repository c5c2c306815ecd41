"""Codes: another's reader reads them back, and white is left around them."""

import re

import zxingcpp
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageDraw

from reports.page.paper.code import Code, code_of

# What stands for an id in a station file, and how the page may be called (daemon/config/checks.py).
_IDS = st.from_regex(r"[A-Za-z0-9][A-Za-z0-9_.-]{0,39}", fullmatch=True)
_HOSTS = st.from_regex(r"[a-z][a-z0-9-]{0,40}(\.local)?|192\.168\.[0-9]{1,3}\.[0-9]{1,3}", fullmatch=True)
_ADDRESSES = st.builds("http://{}:{}/do/{}".format, _HOSTS, st.integers(1, 65535), _IDS)


def boxes(code: Code) -> list[tuple[int, int, int]]:
    """Each dark run of the path: where it begins, and how long it is. Nothing else may stand there."""
    found = re.findall(r"M(\d+) (\d+)h(\d+)v1h-(\d+)z", code.path)
    assert "".join(f"M{x} {y}h{ahead}v1h-{back}z" for x, y, ahead, back in found) == code.path
    assert all(ahead == back for _, _, ahead, back in found)
    return [(int(x), int(y), int(ahead)) for x, y, ahead, _ in found]


def printed(code: Code, module_px: int = 4) -> Image.Image:
    """The path as ink on paper."""
    paper = Image.new("L", (code.side * module_px, code.side * module_px), 255)
    ink = ImageDraw.Draw(paper)
    for x, y, length in boxes(code):
        ends = ((x + length) * module_px - 1, (y + 1) * module_px - 1)
        ink.rectangle((x * module_px, y * module_px, *ends), fill=0)
    return paper


@given(_ADDRESSES)
def test_a_reader_of_somebody_else_s_reads_the_address_back(address: str) -> None:
    (read,) = zxingcpp.read_barcodes(printed(code_of(address)))
    assert read.text == address
    assert read.format is zxingcpp.BarcodeFormat.QRCode


@given(_ADDRESSES)
def test_four_modules_of_white_stand_around_a_code(address: str) -> None:
    """ISO/IEC 18004, the quiet zone [M]."""
    code = code_of(address)
    dark = boxes(code)
    assert min(x for x, _, _ in dark) == min(y for _, y, _ in dark) == 4
    assert max(x + length for x, _, length in dark) == max(y + 1 for _, y, _ in dark) == code.side - 4


def test_a_short_address_is_no_micro_code_which_phones_do_not_read() -> None:
    assert code_of("http://a/do/b").side >= 21 + 8  # version 1, the smallest QR code (ISO/IEC 18004)


def test_a_longer_address_gets_a_larger_code_rather_than_one_that_mends_less() -> None:
    """50 bytes: version 4 at level M, with 33 modules, holds 62; version 3 holds 53 at L, 42 at M [M]."""
    address = "http://naupliad-room-7.local:8077/do/tray-of-room-7"
    assert 42 < len(address) <= 53
    assert code_of(address).side == 33 + 8


@given(_ADDRESSES, st.sampled_from([0, 255]))
def test_a_blot_of_two_millimetres_is_read_through(address: str, ink: int) -> None:
    """Five modules by five in the middle of a code printed 20 mm wide, where no finder is. Level M mends
    about 15 % of the words (ISO/IEC 18004 [M]); a blot spoils more of them than it covers."""
    code, module_px = code_of(address), 6
    paper, middle = printed(code, module_px), code.side / 2
    first, last = round((middle - 2.5) * module_px), round((middle + 2.5) * module_px) - 1
    assert 5 / (code.side - 8) * 20.0 > 2.0  # mm: longer addresses have smaller modules
    ImageDraw.Draw(paper).rectangle((first, first, last, last), fill=ink)
    (read,) = zxingcpp.read_barcodes(paper)
    assert read.text == address
