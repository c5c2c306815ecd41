"""scrypt, in this process and in the child of one that has none."""

import hashlib
import subprocess
import sys
from pathlib import Path

import pytest

from daemon.errors import NaupliadError
from daemon.page.guard.pin import PinRecord
from daemon.page.guard.scrypt import scrypt
from tests.kit.listening_desks import PIN, Phone, leave_a_day, shelf_text, site_of

# RFC 7914, section 12: the second test vector, its first 32 bytes. P "password", S "NaCl", N 1024, r 8, p 16.
RFC_7914 = "fdbabe1c9d3472007856e7190d01e9fe7c6ad7cbc8237830e77376634b373162"
COST = {"n": 1024, "r": 8, "p": 16, "maxmem": 2**24, "dklen": 32}


def test_the_key_is_that_of_the_standard() -> None:
    assert scrypt("password", b"NaCl", **COST).hex() == RFC_7914


def test_a_process_without_openssl_has_the_same_key_from_a_child(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delattr(hashlib, "scrypt")
    assert scrypt("password", b"NaCl", **COST).hex() == RFC_7914


def test_a_child_that_fails_is_one_line_and_shows_no_digits(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delattr(hashlib, "scrypt")
    monkeypatch.setattr("daemon.page.guard.scrypt._PROGRAM", "/no/such/python")
    with pytest.raises(NaupliadError) as refused:
        scrypt("735164", b"NaCl", **COST)
    assert str(refused.value).startswith("PIN: could not be looked at")
    assert "735164" not in str(refused.value)
    assert "\n" not in str(refused.value)


def test_the_page_s_process_looks_at_a_pin_without_openssl() -> None:
    record = PinRecord("an id", b"NaCl", bytes.fromhex(RFC_7914))
    code = (
        "from daemon.page.bare_flask import import_bare\n"
        "import_bare()\n"
        "import hashlib, sys\n"
        "from daemon.page.guard.pin import Cost, PinRecord\n"
        f"record = PinRecord({record.id!r}, {record.salt!r}, {record.key!r}, Cost(1024, 8, 16))\n"
        "print(record.fits('password'), record.fits('735164'), hasattr(hashlib, 'scrypt'))\n"
        "print([one for one in ('_ssl', '_hashlib', 'werkzeug.serving') if sys.modules.get(one)])\n"
    )
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert said.splitlines() == ["True False False", "[]"]


def test_where_no_child_can_be_started_nobody_is_let_in_and_one_line_says_why(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    leave_a_day(tmp_path, shelf_text())
    phone = Phone(site_of(tmp_path))
    monkeypatch.delattr(hashlib, "scrypt")
    monkeypatch.setattr("daemon.page.guard.scrypt._PROGRAM", "/no/such/python")
    answer = phone.post("/pin", data={"pin": PIN})
    assert answer.status_code == 503
    assert "PIN: could not be looked at" in answer.text
    assert "Set-Cookie" not in answer.headers
    assert phone.post("/do/cup/stir").status_code == 403
