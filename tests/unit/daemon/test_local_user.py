"""Login names, from what the kernel knows of a process."""

import os
import pwd
import socket

import pytest

from daemon.local_user import name_at, own_name


def test_who_is_at_the_other_end_of_a_socket_is_the_user_its_process_runs_under() -> None:
    here, there = socket.socketpair()
    with here, there:
        assert name_at(here) == own_name() == pwd.getpwuid(os.getuid()).pw_name
    assert name_at(here) == ""  # gone


@pytest.mark.parametrize("uid", [65_534, 4_000_000_000])
def test_a_user_of_whom_the_machine_knows_no_name_has_none(monkeypatch: pytest.MonkeyPatch, uid: int) -> None:
    monkeypatch.setattr(os, "getuid", lambda: uid)
    assert own_name() == ""
