"""Letters by SMTP with the password that the set-up keeps: as it is when each letter goes."""

from pathlib import Path

from daemon.errors import InputError
from daemon.post.carrier import Outgoing, Unreachable
from daemon.post.kept_password import kept_for
from daemon.post.smtp import SmtpCarrier
from daemon.station import PostServer


class KeptMailCarrier:
    """Hands letters to one mail server; a password typed, or forgotten, counts from the next letter on."""

    def __init__(self, server: PostServer, state: Path) -> None:
        """`state` is the folder that the password is kept in."""
        self._server = server
        self._state = state

    def carry(self, letter: Outgoing) -> None:
        """As SmtpCarrier does; Unreachable also where the password's file cannot be read: letters wait."""
        self._with_password().carry(letter)

    def reach(self) -> None:
        """As SmtpCarrier does. Raises Unreachable."""
        self._with_password().reach()

    def _with_password(self) -> SmtpCarrier:
        try:
            return SmtpCarrier(self._server, kept_for(self._state, self._server))
        except InputError as fault:
            where = f"{self._server.smtp_host}:{self._server.smtp_port}"
            raise Unreachable(f"{where}: no password: {fault}") from None
