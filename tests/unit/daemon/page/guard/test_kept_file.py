"""The page's own files: whole or not at all, and for nobody else's eyes."""

import os
import stat
from pathlib import Path

import pytest

from daemon.page.guard.kept_file import keep, kept


def test_what_was_kept_is_read_again_by_its_owner_alone(tmp_path: Path) -> None:
    before = os.umask(0)
    try:
        keep(tmp_path / "a.json", {"n": [1, 2.5, "ä"]})
    finally:
        os.umask(before)
    assert kept(tmp_path / "a.json") == {"n": [1, 2.5, "ä"]}
    assert stat.S_IMODE((tmp_path / "a.json").stat().st_mode) == 0o600
    assert [path.name for path in tmp_path.iterdir()] == ["a.json"]


def test_what_cannot_be_written_leaves_the_old_and_nothing_beside_it(tmp_path: Path) -> None:
    keep(tmp_path / "a.json", 1)
    with pytest.raises(TypeError):
        keep(tmp_path / "a.json", {"half": object()})
    assert kept(tmp_path / "a.json") == 1
    assert [path.name for path in tmp_path.iterdir()] == ["a.json"]


@pytest.mark.parametrize("content", [b"", b"{", b"\xff", b"[" * 100_000, None])
def test_what_cannot_be_read_is_nothing(tmp_path: Path, content: bytes | None) -> None:
    if content is not None:
        (tmp_path / "a.json").write_bytes(content)
    assert kept(tmp_path / "a.json") is None


def test_a_link_in_the_files_place_is_replaced_and_not_followed(tmp_path: Path) -> None:
    (tmp_path / "others").write_text("another's")
    (tmp_path / "a.json").symlink_to(tmp_path / "others")
    keep(tmp_path / "a.json", 1)
    assert (tmp_path / "others").read_text() == "another's"
    assert not (tmp_path / "a.json").is_symlink()


def test_what_root_keeps_belongs_to_whom_the_folder_belongs(tmp_path: Path) -> None:
    if os.geteuid() != 0:
        pytest.skip("needs root, to give a folder to another account")
    os.chown(tmp_path, 12_345, 12_346)
    keep(tmp_path / "a.json", 1)
    found = (tmp_path / "a.json").stat()
    assert (found.st_uid, found.st_gid) == (12_345, 12_346)
