"""Who on this machine asks: login names, from what the kernel knows."""

import os
import pwd
import socket
import struct

_NOBODY = 65_534  # whom the kernel names where it cannot say who it is
_CREDENTIALS = struct.Struct("3i")  # pid, uid and gid, as SO_PEERCRED gives them: unix(7)


def own_name() -> str:
    """The login name this process runs under; empty where it has none."""
    return _name_of(os.getuid())


def name_at(client: socket.socket) -> str:
    """The login name of whoever is at the other end of a unix socket; empty where it has none, or is gone."""
    try:
        credentials = client.getsockopt(socket.SOL_SOCKET, socket.SO_PEERCRED, _CREDENTIALS.size)
    except OSError:
        return ""
    _, uid, _ = _CREDENTIALS.unpack(credentials)
    return _name_of(uid)


def _name_of(uid: int) -> str:
    try:
        return "" if uid in (-1, _NOBODY) else pwd.getpwuid(uid).pw_name
    except (KeyError, OverflowError):
        return ""
