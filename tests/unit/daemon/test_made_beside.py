"""A folder or a file made whole beside its place and then put there."""

from pathlib import Path

import pytest

from daemon.errors import InputError
from daemon.made_beside import check_file, check_folder, file_made_beside, made_beside

WRITTEN = ("a.csv", "b.csv")


def made(out: Path, *names: str) -> None:
    with made_beside(out, WRITTEN) as folder:
        for name in names:
            (folder / name).write_text(name, encoding="utf-8")


def inside(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_a_new_folder_is_there_only_when_it_is_whole(tmp_path: Path) -> None:
    out = tmp_path / "new" / "out"
    with made_beside(out, WRITTEN) as folder:
        (folder / "a.csv").touch()
        assert not out.exists()
    assert inside(out) == ["a.csv"]
    assert inside(out.parent) == ["out"]


def test_what_is_broken_off_leaves_what_was_there(tmp_path: Path) -> None:
    made(tmp_path / "out", "a.csv")

    def broken_off() -> None:
        with made_beside(tmp_path / "out", WRITTEN) as folder:
            (folder / "a.csv").write_text("half", encoding="utf-8")
            raise OSError(28, "No space left on device")

    with pytest.raises(OSError, match="No space"):
        broken_off()
    assert inside(tmp_path) == ["out"]
    assert inside(tmp_path / "out") == ["a.csv"]
    assert (tmp_path / "out" / "a.csv").read_text("utf-8") == "a.csv"


def test_what_replaces_a_folder_leaves_it_itself_and_nothing_of_the_earlier_one(tmp_path: Path) -> None:
    made(tmp_path / "out", "a.csv")
    before = (tmp_path / "out").stat().st_ino
    made(tmp_path / "out", "b.csv")
    assert inside(tmp_path / "out") == ["b.csv"]
    assert (tmp_path / "out").stat().st_ino == before


def test_what_a_kill_left_behind_is_no_earlier_one_and_goes(tmp_path: Path) -> None:
    out = tmp_path / "out"
    (out / ".unfinished").mkdir(parents=True)
    (out / ".unfinished" / "a.csv").touch()
    check_folder(out, "export", WRITTEN, replace=False)
    made(out, "b.csv")
    assert inside(out) == ["b.csv"]


def test_a_file_is_there_only_when_it_is_whole(tmp_path: Path) -> None:
    path = tmp_path / "new" / "a.zip"
    with file_made_beside(path) as file:
        file.write(b"some")
        assert not path.exists()
    assert path.read_bytes() == b"some"

    def broken_off() -> None:
        with file_made_beside(path) as file:
            file.write(b"half")
            raise OSError(28, "No space left on device")

    with pytest.raises(OSError, match="No space"):
        broken_off()
    assert (path.read_bytes(), inside(path.parent)) == (b"some", ["a.zip"])


def test_a_file_that_stands_is_replaced_only_when_asked(tmp_path: Path) -> None:
    path = tmp_path / "a.zip"
    check_file(path, replace=False)
    path.touch()
    check_file(path, replace=True)
    with pytest.raises(InputError, match=r"a\.zip: found a file; allowed: another path, or --replace"):
        check_file(path, replace=False)
