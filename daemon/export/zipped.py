"""Files in a zip, written one after the other into any binary file: it need not be one that can go back."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from typing import IO
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

_FIRST_YEAR = 1980  # no zip knows an earlier one


@contextmanager
def member(packed: ZipFile, name: str, at: datetime, *, large: bool = False) -> Iterator[IO[bytes]]:
    """A file of the zip, of the local moment `at`: the same content gives the same bytes.

    It may be `large`, over 2 GB, in a form that old programs cannot read.
    """
    info = ZipInfo(name, (max(at.year, _FIRST_YEAR), *at.timetuple()[1:6]))
    info.compress_type = ZIP_DEFLATED
    info.external_attr = 0o644 << 16
    with packed.open(info, "w", force_zip64=large) as file:
        yield file
