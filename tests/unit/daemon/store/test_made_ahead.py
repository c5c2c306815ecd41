"""A new store, made by a child before the daemon opens it."""

import sqlite3
import sys
from contextlib import closing
from pathlib import Path

import pytest

from daemon.store.file import FILE_NAME, WritingStore
from daemon.store.made_ahead import make_ahead
from daemon.store.schema import is_current


def test_a_child_makes_the_store_that_is_not_there(tmp_path: Path) -> None:
    make_ahead(tmp_path / "state")
    with closing(sqlite3.connect(tmp_path / "state" / FILE_NAME)) as connection:
        assert is_current(connection)


def test_a_store_that_is_there_is_left_to_who_opens_it(tmp_path: Path) -> None:
    (tmp_path / FILE_NAME).write_bytes(b"no store")
    make_ahead(tmp_path)
    assert (tmp_path / FILE_NAME).read_bytes() == b"no store"


@pytest.mark.parametrize(
    "child", [("/nowhere/python",), (sys.executable, "-c", "import sys; sys.exit(1)")], ids=["none", "fails"]
)
def test_where_the_child_fails_who_opens_the_store_makes_it(tmp_path: Path, child: tuple[str, ...]) -> None:
    make_ahead(tmp_path, child=child)
    assert not (tmp_path / FILE_NAME).exists()
    store = WritingStore(tmp_path)
    assert is_current(store.connection)
    store.close()
