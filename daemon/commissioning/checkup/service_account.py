"""The account the daemon runs under, and what it may do with a file."""

import os
import pwd
from dataclasses import dataclass
from pathlib import Path

from daemon.commissioning.checkup.finding import Finding, look, ok
from daemon.commissioning.machine import Machine

SERVICE = "naupliad"
INSTALL = "In the folder of the program: sudo systemd/install.sh (docs/install.md)."
READ, WRITE, ENTER = 4, 2, 1


@dataclass(frozen=True, slots=True)
class ServiceAccount:
    """The service's account with its groups; where it does not exist yet, the one that runs this program."""

    name: str
    uid: int
    gids: frozenset[int]
    groups: frozenset[str]
    exists: bool

    def may(self, path: Path, *wants: int) -> bool:
        """Whether the mode of a file lets it do all of these. Raises OSError where it cannot be looked at."""
        if self.uid == 0:
            return True
        found = path.stat()
        shift = 6 if found.st_uid == self.uid else 3 if found.st_gid in self.gids else 0
        return all((found.st_mode >> shift) & want for want in wants)


def service_account(machine: Machine) -> ServiceAccount:
    """The service's account on that machine; where it has none, the one that runs this program."""
    for fields in _rows(machine, "/etc/passwd", 4):
        if fields[0] == SERVICE:
            return _account(machine, SERVICE, int(fields[2]), {int(fields[3])}, exists=True)
    return _account(machine, _own_name(), os.getuid(), {os.getgid(), *os.getgroups()}, exists=False)


def account_found(account: ServiceAccount) -> Finding:
    """Whether the service has its own account."""
    if account.exists:
        return ok("account", f"{account.name}, in the groups {', '.join(sorted(account.groups))}")
    return look(
        "account",
        f"no account {SERVICE}; these are the rights of {account.name}",
        INSTALL,
    )


def group_exists(machine: Machine, group: str) -> bool:
    """Whether the machine knows a group of that name."""
    return any(fields[0] == group for fields in _rows(machine, "/etc/group", 3))


def _account(machine: Machine, name: str, uid: int, own: set[int], *, exists: bool) -> ServiceAccount:
    rows = _rows(machine, "/etc/group", 3)
    member_of = {
        fields[0]: int(fields[2])
        for fields in rows
        if int(fields[2]) in own or (len(fields) > 3 and name in fields[3].split(","))
    }
    return ServiceAccount(name, uid, frozenset({*own, *member_of.values()}), frozenset(member_of), exists)


def _rows(machine: Machine, file: str, least: int) -> list[list[str]]:
    """The rows of passwd(5) or group(5) whose numbers are numbers."""
    rows = [line.split(":") for line in (machine.text(file) or "").splitlines()]
    return [row for row in rows if len(row) >= least and all(n.isdigit() for n in row[2:least])]


def _own_name() -> str:
    try:
        return pwd.getpwuid(os.getuid()).pw_name
    except KeyError:
        return str(os.getuid())
