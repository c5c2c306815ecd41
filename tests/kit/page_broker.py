"""A broker that is set up as docs/how-to/rooms.md says, for tests: the page is what is tried."""

import re
import shutil
import ssl
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from tests.kit.broker import Served, served
from tests.kit.checkout import DOCS
from tests.kit.mail_server import certify
from tests.kit.pages import fenced

PAGE = DOCS / "how-to" / "rooms.md"
_PASSWD = shutil.which("mosquitto_passwd")


@dataclass
class Guarded:
    """A broker with users. `context` trusts it, and `certificate` is the file of who vouches for it."""

    broker: Served
    context: ssl.SSLContext
    certificate: Path

    @property
    def port(self) -> int:
        return self.broker.port

    def add(self, *users: str) -> None:
        """Each one's password is made of the user."""
        for user in users:
            self._passwd("-b", str(self._passwords), user, password(user))
        self.broker.reload()

    def revoke(self, user: str) -> None:
        self._passwd("-D", str(self._passwords), user)
        self.broker.reload()

    @property
    def _passwords(self) -> Path:
        return self.broker.folder / "naupliad-passwords"

    def _passwd(self, *words: str) -> None:
        assert _PASSWD is not None
        subprocess.run([_PASSWD, *words], check=True, capture_output=True)


def password(user: str) -> str:
    return f"{user}-says-so"


def settings_of_the_page() -> tuple[str, str]:
    """The broker's settings and its access list, as they stand on the page."""
    settings, access = fenced(PAGE, "text")
    return settings, access


@contextmanager
def guarded(folder: Path, *users: str) -> Iterator[Guarded]:
    """What the page gives goes in as it stands, but for where files are and which port is free."""
    settings, access = settings_of_the_page()
    papers = certify(folder, "localhost")
    (folder / "naupliad-acl").write_text(access, "utf-8")
    (folder / "naupliad-passwords").touch(mode=0o600)
    for wanted, found in {
        r"^listener 8883\n": "",
        r"/etc/mosquitto/certs/broker\.crt": str(papers.file),
        r"/etc/mosquitto/certs/broker\.key": str(papers.file.with_suffix(".key")),
        r"/etc/mosquitto/": f"{folder}/",
    }.items():
        settings, count = re.subn(wanted, found, settings, flags=re.MULTILINE)
        assert count, f"the page no longer says {wanted}"
    # What Debian's own file says beside it.
    own = f"persistence_location {folder}/\n"
    for user in users:
        assert _PASSWD is not None
        subprocess.run(
            [_PASSWD, "-b", str(folder / "naupliad-passwords"), user, password(user)],
            check=True,
            capture_output=True,
        )
    with served(folder, settings + own) as broker:
        yield Guarded(broker, papers.client, papers.file)
