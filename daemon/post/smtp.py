"""Letters by SMTP (RFC 5321), over a line that is encrypted or does not leave the machine."""

import logging
import smtplib
import ssl
from collections.abc import Iterator, Mapping
from contextlib import ExitStack, closing, contextmanager, suppress
from email import message_from_bytes
from email.policy import SMTP
from email.utils import parseaddr
from typing import BinaryIO

from daemon.post.carrier import Deferred, LetterRefused, Outgoing, Unreachable
from daemon.post.network import cut_off_after, fault_of, loopback_addresses, reaching
from daemon.station import PostServer

_log = logging.getLogger(__name__)

# An address literal is allowed here (RFC 5321, 4.1.3). The library's own choice asks the name server for
# this machine's name, which takes long when the line is down, and tells it to the world.
_OUR_NAME = "[127.0.0.1]"

# A whole talk may take as long as this many steps that just do not time out.
_TALK_STEPS = 4

# Far more than a reply of many lines needs; a line of it is limited by the library.
REPLY_BYTES = 64 * 1024

# Replies that speak of the account (RFC 4954, 6) or of the whole service (421: RFC 5321, 3.8).
_LINE_REPLIES = frozenset({421, 530, 534, 535, 538})


class _Line(smtplib.SMTP):
    """A line whose replies have an end: one without would fill the memory before the line is cut off."""

    def getreply(self) -> tuple[int, bytes]:
        """The next reply; one of over 64 kB counts as a line that broke."""
        if self.file is None and self.sock is not None:
            self.file = _Measured(self.sock.makefile("rb"))
        if isinstance(self.file, _Measured):
            self.file.left = REPLY_BYTES
        return super().getreply()


class _EncryptedLine(_Line, smtplib.SMTP_SSL):
    """Encrypted from the first byte."""


class _Measured:
    """A file of which so many bytes are read and no more."""

    def __init__(self, file: BinaryIO) -> None:
        self._file = file
        self.left = 0
        self.close = file.close

    def readline(self, most: int) -> bytes:
        """A line, or its first `most` bytes."""
        line = self._file.readline(most)
        self.left -= len(line)
        if self.left < 0:
            raise OSError("a reply without end")
        return line


class SmtpCarrier:
    """Hands letters to one mail server, a connection a letter."""

    def __init__(
        self,
        server: PostServer,
        password: str | None,
        timeout_s: float = 30.0,
        context: ssl.SSLContext | None = None,
    ) -> None:
        """`timeout_s` holds for every step of the talk; `context` decides which certificates are trusted,
        those of the system when it is None."""
        self._server = server
        self._password = password
        self._timeout_s = timeout_s
        self._context = context

    def carry(self, letter: Outgoing) -> None:
        """Give the letter to the server, for everyone in its `To`.

        LetterRefused: the server said no to this letter for good (5xx), or to every address. Deferred: it
        puts this letter off (4xx), or the line broke while it was handed over. Unreachable: nothing goes
        now; also where log-in or encryption fails, as then the letter is not at fault.
        """
        name = f"letter {letter.number} ({letter.kind})"
        where = f"{name}: {self._where}"
        with self._talk(where) as line:
            missed = _hand_over(line, where, parseaddr(self._server.sender)[1], letter.message)
        for address, (code, reply) in missed.items():
            _log.warning("%s went out, but not to %s: %s", name, address, _said(code, reply))

    def reach(self) -> None:
        """Connect, encrypt and log in, then say goodbye. Raises Unreachable."""
        with self._talk(self._where):
            pass

    @property
    def _where(self) -> str:
        return f"{self._server.smtp_host}:{self._server.smtp_port}"

    @contextmanager
    def _talk(self, where: str) -> Iterator[smtplib.SMTP]:
        """A line on which the server takes letters."""
        with ExitStack() as stack:
            with reaching(where), _answering(where):
                line = stack.enter_context(closing(self._open(where)))
                stack.enter_context(cut_off_after(_TALK_STEPS * self._timeout_s, lambda: line.sock))
                if self._server.security not in ("tls", "plain-on-loopback"):
                    self._encrypt(line, where)
                self._log_in(line, where)
            yield line
            with suppress(smtplib.SMTPException, OSError):
                line.quit()  # the letter is taken already, whatever becomes of the goodbye

    def _open(self, where: str) -> smtplib.SMTP:
        host, port = self._server.smtp_host, self._server.smtp_port
        if self._server.security == "tls":
            trusted = self._trusted()
            return _EncryptedLine(host, port, _OUR_NAME, timeout=self._timeout_s, context=trusted)
        hosts = [host]
        if self._server.security == "plain-on-loopback":
            hosts = loopback_addresses(host, port, where, "security plain-on-loopback")
        for other in hosts[:-1]:
            with suppress(OSError):
                return _Line(other, port, _OUR_NAME, timeout=self._timeout_s)
        return _Line(hosts[-1], port, _OUR_NAME, timeout=self._timeout_s)

    def _encrypt(self, line: smtplib.SMTP, where: str) -> None:
        line.ehlo_or_helo_if_needed()
        if not line.has_extn("starttls"):
            raise Unreachable(f"{where}: offers no STARTTLS, and nothing is sent over an open line")
        line.starttls(context=self._trusted())

    def _trusted(self) -> ssl.SSLContext:
        return self._context or ssl.create_default_context()

    def _log_in(self, line: smtplib.SMTP, where: str) -> None:
        """No message here repeats the server's words: some servers answer with what they were sent."""
        user = self._server.user
        if self._password is None:
            if user is not None:
                raise Unreachable(f"{where}: user {user!r} is set, but no password is kept for it")
            return
        user = user or parseaddr(self._server.sender)[1]
        try:
            line.login(user, self._password)
        except smtplib.SMTPNotSupportedError:
            raise Unreachable(f"{where}: takes no log-in, but a password is kept for {user!r}") from None
        except smtplib.SMTPResponseException as error:
            raise Unreachable(
                f"{where}: the log-in as {user!r} failed with reply {error.smtp_code}"
            ) from None
        except smtplib.SMTPServerDisconnected:
            raise Unreachable(f"{where}: hung up at the log-in as {user!r}") from None
        except (smtplib.SMTPException, ValueError):  # ValueError: words that are no ASCII or no Base64
            raise Unreachable(f"{where}: no way to log in as {user!r} that both sides know") from None


@contextmanager
def _answering(where: str) -> Iterator[None]:
    """A reply that is no agreement, before the letter is handed over, speaks of the line."""
    try:
        yield
    except smtplib.SMTPResponseException as error:
        raise Unreachable(f"{where}: {_said(error.smtp_code, error.smtp_error)}") from None


Replies = Mapping[str, tuple[int, bytes]]


def _hand_over(line: smtplib.SMTP, where: str, sender: str, message: bytes) -> Replies:
    """Send the letter; returns the addresses that were not taken while others were."""
    head, _, _ = message.partition(b"\r\n\r\n")  # parsed whole, a chart would be taken apart line by line
    header = message_from_bytes(head, policy=SMTP)["To"]
    to = [address.addr_spec for address in header.addresses]
    try:
        return line.sendmail(sender, to, message)
    except smtplib.SMTPRecipientsRefused as error:
        replies = "; ".join(f"{address}: {_said(*reply)}" for address, reply in error.recipients.items())
        faults = {_fault_of(code) for code, _ in error.recipients.values()}
        fault = next(kind for kind in (Deferred, Unreachable, LetterRefused) if kind in faults)
        raise fault(f"{where}: no address was taken: {replies}") from None
    except smtplib.SMTPResponseException as error:
        raise _fault_of(error.smtp_code)(f"{where}: {_said(error.smtp_code, error.smtp_error)}") from None
    except ValueError as error:  # an address outside ASCII, or with a line end in it
        raise LetterRefused(f"{where}: an address cannot be sent: {error}") from None
    except OSError as error:
        # Perhaps it is this letter that breaks the line, so others do not wait for it.
        raise Deferred(f"{where}: the line broke: {fault_of(error)}") from None


def _fault_of(code: int) -> type[LetterRefused | Unreachable]:
    """What a reply to a letter means: for good, for this letter now, or for the account or server now."""
    if code in _LINE_REPLIES:
        return Unreachable
    return LetterRefused if code >= 500 else Deferred


def _said(code: int, reply: bytes | str) -> str:
    words = " ".join((reply.decode("utf-8", "replace") if isinstance(reply, bytes) else reply).split())
    # What a terminal would obey, or show as nothing, is not passed on.
    return f"replied {code} {''.join(c if c.isprintable() else '?' for c in words[:200])}".rstrip()
