"""A set-up under way, as a request finds it: the draft or the file that stands, and its faults."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from hashlib import sha256
from pathlib import Path
from typing import Any

from daemon.config.ways_out import SMTP_PORT
from daemon.errors import InputError
from daemon.input.toml import read_toml
from daemon.page.deeds.asking import told
from daemon.page.setting_up.draft import Draft, forget_draft, keep_draft, kept_draft
from daemon.page.setting_up.station_text import NAME, StationText, faults_of
from daemon.station import LOOPBACK

MOST_BYTES = 48 * 1024  # of a station file, with room left in a line of the inbox


@dataclass(frozen=True, slots=True)
class StandingFile:
    """The station file as the daemon has it: `text` and `digest` are empty where there is none.

    `why_not` says why the daemon cannot write it, empty where it can; `watching` that a station runs;
    `password` is "none", "root" or "kept" (by the daemon, for each of the mail accounts `password_for`).
    """

    path: str
    text: str
    digest: str
    why_not: str
    watching: bool
    password: str
    password_for: Sequence[Mapping[str, Any]]

    @classmethod
    def of(cls, answer: dict[str, Any]) -> "StandingFile":
        """As the inbox answers `station-file`."""
        return cls(
            answer["path"],
            answer["text"] or "",
            answer["digest"],
            "" if answer["writable"] else answer["why"],
            answer["watching"],
            answer["mail_password"],
            answer["mail_accounts"],
        )


@dataclass
class UnderWay:
    """`text` is what the steps show and change; `begun` says that it is a draft.

    `began_from` is the digest of the file it was begun from; `broken` are the lines of a file
    that cannot be edited; `listen` is from where the page can be asked for now; `stood` is the text before
    this request; `mail_aside` what was filled in of a mail server that letters do not go by now.
    """

    state: Path
    folder: Path
    file: StandingFile
    text: StationText
    begun: bool
    began_from: str
    broken: tuple[str, ...]
    listen: str
    stood: str
    mail_aside: Mapping[str, Any]

    def stamp(self, table: str = "") -> str:
        """By which a form knows a table of the draft, or all of it, as it stood when the form was shown."""
        found = read_toml(self.stood, NAME).get(table) if table else self.stood
        return sha256(json.dumps(found, default=str, sort_keys=True).encode()).hexdigest()[:16]

    def clashes(self, told: str | None, table: str = "") -> bool:
        """Whether a form would change what somebody else has changed since it was shown."""
        return bool(told) and told != self.stamp(table) and self.text.text != self.stood

    @property
    def elsewhere(self) -> bool:
        """Whether the file was changed since the draft was begun."""
        return self.began_from != self.file.digest

    @property
    def faults(self) -> list[tuple[str, str]]:
        """What is wrong with the text as it is now, by the path of the key."""
        return faults_of(self.text.text)

    @property
    def mail_server(self) -> dict[str, Any] | None:
        """Whom letters go through, as a password is kept for it; None where nobody is to be told one."""
        post = self.text.table("post")
        security = post.get("security", "tls")
        server = {
            "host": post.get("smtp_host"),
            "port": post.get("smtp_port", SMTP_PORT.get(str(security))),
            "security": security,
            "user": post.get("user") or post.get("from"),
        }
        return server if server["host"] and server["user"] else None

    @property
    def unit(self) -> str:
        """Of temperatures, as the text has it."""
        return "F" if self.text.table("station").get("temperature_unit") == "F" else "C"

    def language(self, otherwise: str) -> str:
        """As the text has it, else the one of who asks."""
        found = self.text.table("station").get("language")
        return found if found in ("en", "de") else otherwise

    def keep(self) -> None:
        """Keep what was typed as a draft. Raises InputError for too much, NaupliadError for a full disk."""
        if not self.file.text and self.listen != LOOPBACK and not self.text.has("page"):
            # Else the phone that sets the station up would be shut out by the very file it keeps.
            self.text.put("page", {"listen": self.listen})
        text = self.text.text
        if len(text.encode()) > MOST_BYTES:
            raise InputError(f"station file: found {len(text.encode())} bytes; allowed: up to {MOST_BYTES}")
        keep_draft(self.folder, Draft(text, self.began_from, self.mail_aside))
        self.begun = True


def standing_file(state: Path) -> StandingFile:
    """Raises `deeds.asking.NotDone` where the daemon does not answer."""
    return StandingFile.of(told(state, {"ask": "station-file"}))


def under_way(state: Path, folder: Path, listen: str) -> UnderWay:
    """The set-up as it stands; `listen` is how the page is asked for now.

    Raises `deeds.asking.NotDone` where the daemon does not answer.
    """
    file = standing_file(state)
    draft = kept_draft(folder)
    began_from = file.digest if draft is None else draft.instead_of
    aside = {} if draft is None else draft.mail
    broken: tuple[str, ...] = ()
    try:
        text = StationText(file.text if draft is None else draft.text)
    except InputError as error:
        text, broken = StationText(""), error.faults
    return UnderWay(
        state, folder, file, text, draft is not None, began_from, broken, listen, text.text, aside
    )


def begin_anew(at: UnderWay, *, empty: bool) -> None:
    """Without the draft: from the file that stands, or from nothing."""
    forget_draft(at.folder)
    if not empty:
        return
    found = replace(at, text=StationText(""), began_from=at.file.digest)
    found.keep()
