"""The file of a snapshot: what is whole is read, and whatever else lies there is as nothing."""

import os
import pickle
import sqlite3
import weakref
import zlib
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from daemon.watching.snapshot import file
from daemon.watching.snapshot.codec import Unkept

LINES = [{"at": 1_800_000_000}, [0.1, -0.0, 1e-300, float("inf"), None, "ü\n"], [], 5]


def read(folder: Path) -> list[object]:
    return [file.said(line) for line in file.read(folder)]


def test_what_was_written_is_read(tmp_path: Path) -> None:
    file.write(tmp_path, LINES)
    assert repr(read(tmp_path)) == repr(LINES)
    file.write(tmp_path, [1])
    assert read(tmp_path) == [1]
    assert [path.name for path in tmp_path.iterdir()] == [file.FILE_NAME]


def test_a_line_is_asked_for_when_the_one_before_it_is_let_go(tmp_path: Path) -> None:
    held: list[weakref.ref[Thing]] = []

    def lines() -> Iterator[list[object]]:
        for number in range(20):
            thing = Thing([number])
            held.append(weakref.ref(thing))
            yield thing
            del thing
            assert sum(one() is not None for one in held) <= 1  # the writer's own

    file.write(tmp_path, lines())
    assert len(held) == 20


class Thing(list[object]):
    """A line that can be looked after."""


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data())
def test_a_byte_that_is_another_or_a_file_that_ends_early_is_no_snapshot(
    tmp_path: Path, data: st.DataObject
) -> None:
    file.write(tmp_path, LINES)
    path = tmp_path / file.FILE_NAME
    whole = path.read_bytes()
    place = data.draw(st.integers(0, len(whole) - 1))
    other = data.draw(st.integers(0, 255).filter(lambda byte: byte != whole[place]))
    spoiled = data.draw(st.sampled_from([whole[:place] + bytes([other]) + whole[place + 1 :], whole[:place]]))
    path.write_bytes(spoiled)
    assert file.read(tmp_path) == []


def signed(packed: bytes) -> bytes:
    """As somebody would who knows how ours begin."""
    return b"naupliad snapshot 2 " + sha256(packed).hexdigest().encode() + b"\n" + packed


@pytest.mark.parametrize(
    "strange",
    [
        b"",
        b"\x00" * 5000,
        pickle.dumps({"at": 1}),
        signed(pickle.dumps({"at": 1})),
        b"naupliad snapshot 1 " + signed(zlib.compress(b"[1]")).partition(b"2 ")[2],
        signed(zlib.compress(bytes(2**26 + 1), 1)),
        signed(zlib.compress(b"[1]")[:-1]),
    ],
)
def test_a_strange_file_is_no_snapshot(tmp_path: Path, strange: bytes) -> None:
    (tmp_path / file.FILE_NAME).write_bytes(strange)
    assert file.read(tmp_path) == []


@pytest.mark.parametrize("line", [b"not JSON", b"[" * 200_000, b"\xff\xfe", b""])
def test_a_line_that_is_no_json_says_nothing(line: bytes) -> None:
    with pytest.raises(Unkept, match="allowed: what this program wrote"):
        file.said(line)


def test_a_database_a_pipe_a_folder_or_nothing_is_no_snapshot_and_holds_nobody_up(tmp_path: Path) -> None:
    path = tmp_path / file.FILE_NAME
    assert file.read(tmp_path) == []
    path.mkdir()
    assert file.read(tmp_path) == []
    path.rmdir()
    os.mkfifo(path)
    assert file.read(tmp_path) == []
    held_open = os.open(path, os.O_RDWR)  # by somebody who writes nothing
    assert file.read(tmp_path) == []
    os.close(held_open)
    path.unlink()
    with sqlite3.connect(path) as connection:
        connection.execute("CREATE TABLE t (x)")
    connection.close()
    assert file.read(tmp_path) == []
    path.unlink()
    with path.open("wb") as huge:
        huge.truncate(2**40)
    assert file.read(tmp_path) == []
