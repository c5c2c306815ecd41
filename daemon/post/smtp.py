"""Letters by SMTP (RFC 5321), over a line that is encrypted or does not leave the machine."""

import logging
import smtplib
import ssl
from collections.abc import Iterator, Mapping
from contextlib import ExitStack, closing, contextmanager, suppress
from email.policy import SMTP
from email.utils import parseaddr
from typing import BinaryIO

from daemon.post.carrier import Deferred, LetterRefused, Outgoing, Unreachable
from daemon.post.kept_password import account_of
from daemon.post.network import Deadline, loopback_addresses, reaching
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
    """A line with an end, and whose replies have one: without, one would fill the memory before that."""

    def __init__(
        self,
        deadline: Deadline,
        host: str,
        port: int,
        *,
        step_s: float,
        encrypted: ssl.SSLContext | None = None,
    ) -> None:
        """Connect and hear the greeting; with `encrypted`, so from the first byte."""
        self.deadline = deadline
        self._step_s = step_s
        self._encrypted = encrypted
        super().__init__(host, port, _OUR_NAME, timeout=step_s)

    def connect(
        self, host: str = "localhost", port: int = 0, source_address: object = None
    ) -> tuple[int, bytes]:
        """As the library calls it; gives the greeting."""
        del source_address  # the system chooses
        line = self.deadline.connect(host, port, self._step_s)
        if self._encrypted is not None:
            line = self._encrypted.wrap_socket(line, server_hostname=host)
        self.sock, self.file = line, None
        return self.getreply()

    def getreply(self) -> tuple[int, bytes]:
        """The next reply; one of over 64 kB counts as a line that broke."""
        if self.file is None and self.sock is not None:
            self.file = _Measured(self.sock.makefile("rb"))
        if isinstance(self.file, _Measured):
            self.file.left = REPLY_BYTES
        return super().getreply()


class _Measured:
    """A file of which so many bytes are read and no more, line by whole line."""

    def __init__(self, file: BinaryIO) -> None:
        self._file = file
        self.left = 0
        self.close = file.close

    def readline(self, most: int) -> bytes:
        """A line, or its first `most` bytes. Raises OSError where the line ends before its end of line."""
        line = self._file.readline(most)
        self.left -= len(line)
        if self.left < 0:
            raise OSError("a reply without end")
        if line and len(line) < most and not line.endswith(b"\n"):
            raise OSError("a reply that was cut off")  # its first digits are no word that a letter was taken
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
        """`timeout_s` holds for every step of the talk, four times as much for all of it; `context` decides
        which certificates are trusted, those of the system when it is None."""
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
    def _talk(self, where: str) -> Iterator[_Line]:
        """A line on which the server takes letters."""
        with ExitStack() as stack:
            deadline = stack.enter_context(closing(Deadline(_TALK_STEPS * self._timeout_s)))
            with reaching(where, deadline), _answering(where):
                line = stack.enter_context(closing(self._open(where, deadline)))
                if self._server.security not in ("tls", "plain-on-loopback"):
                    self._encrypt(line, where)
                self._log_in(line, where)
            yield line
            with suppress(smtplib.SMTPException, OSError):
                line.quit()  # the letter is taken already, whatever becomes of the goodbye

    def _open(self, where: str, deadline: Deadline) -> _Line:
        host, port, step_s = self._server.smtp_host, self._server.smtp_port, self._timeout_s
        if self._server.security == "tls":
            return _Line(deadline, host, port, step_s=step_s, encrypted=self._trusted())
        hosts = [host]
        if self._server.security == "plain-on-loopback":
            hosts = loopback_addresses(host, port, where, "security plain-on-loopback")
        for other in hosts[:-1]:
            with suppress(OSError):
                return _Line(deadline, other, port, step_s=step_s)
        return _Line(deadline, hosts[-1], port, step_s=step_s)

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
        user = account_of(self._server).user
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


def _hand_over(line: _Line, where: str, sender: str, message: bytes) -> Replies:
    """Send the letter; returns the addresses that were not taken while others were."""
    from email.parser import BytesHeaderParser  # 0.1 MiB that a start needs not

    # Parsed whole, a chart would be taken apart line by line, and `re` keep an expression of each letter.
    head, _, _ = message.partition(b"\r\n\r\n")
    header = BytesHeaderParser(policy=SMTP).parsebytes(head)["To"]
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
        raise Deferred(f"{where}: the line broke: {line.deadline.fault_of(error)}") from None


def _fault_of(code: int) -> type[LetterRefused | Unreachable]:
    """What a reply to a letter means: for good, for this letter now, or for the account or server now."""
    if code in _LINE_REPLIES:
        return Unreachable
    return LetterRefused if code >= 500 else Deferred


def _said(code: int, reply: bytes | str) -> str:
    words = " ".join((reply.decode("utf-8", "replace") if isinstance(reply, bytes) else reply).split())
    # What a terminal would obey, or show as nothing, is not passed on.
    return f"replied {code} {''.join(c if c.isprintable() else '?' for c in words[:200])}".rstrip()
