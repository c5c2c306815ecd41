"""The account the daemon runs under, and what it may do with a file."""

import os
import pwd
from dataclasses import dataclass
from pathlib import Path

from daemon.commissioning.machine import Machine

SERVICE = "naupliad"
READ, WRITE, ENTER = 4, 2, 1


@dataclass(frozen=True, slots=True)
class Account:
    """An account with its groups. `is_services` is False where there is none for the service yet."""

    name: str
    uid: int
    gids: frozenset[int]
    groups: frozenset[str]
    is_services: bool

    def may(self, path: Path, *wants: int) -> bool:
        """Whether the mode of a file lets it do all of these. Raises OSError where it cannot be looked at."""
        if self.uid == 0:
            return True
        told = path.stat()
        shift = 6 if told.st_uid == self.uid else 3 if told.st_gid in self.gids else 0
        return all((told.st_mode >> shift) & want for want in wants)


def account_of(machine: Machine) -> Account:
    """The service's account on that machine; where it has none, the one that runs this program."""
    for fields in _rows(machine, "/etc/passwd", 4):
        if fields[0] == SERVICE:
            return _account(machine, SERVICE, int(fields[2]), {int(fields[3])}, is_services=True)
    return _account(machine, _own_name(), os.getuid(), {os.getgid(), *os.getgroups()}, is_services=False)


def group_exists(machine: Machine, group: str) -> bool:
    """Whether the machine knows a group of that name."""
    return any(fields[0] == group for fields in _rows(machine, "/etc/group", 3))


def _account(machine: Machine, name: str, uid: int, own: set[int], *, is_services: bool) -> Account:
    rows = _rows(machine, "/etc/group", 3)
    member_of = {
        fields[0]: int(fields[2])
        for fields in rows
        if int(fields[2]) in own or (len(fields) > 3 and name in fields[3].split(","))
    }
    return Account(name, uid, frozenset({*own, *member_of.values()}), frozenset(member_of), is_services)


def _rows(machine: Machine, file: str, least: int) -> list[list[str]]:
    """The rows of passwd(5) or group(5) whose numbers are numbers."""
    rows = [line.split(":") for line in (machine.text(file) or "").splitlines()]
    return [row for row in rows if len(row) >= least and all(n.isdigit() for n in row[2:least])]


def _own_name() -> str:
    try:
        return pwd.getpwuid(os.getuid()).pw_name
    except KeyError:
        return str(os.getuid())
