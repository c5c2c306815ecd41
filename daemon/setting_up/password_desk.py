"""The word `keep-password`: a mail password kept for one account, or forgotten."""

import logging
from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from daemon.config.ways_out import read_mail_line
from daemon.errors import InputError
from daemon.post.kept_password import (
    FILE_NAME,
    KeptPassword,
    MailAccount,
    account_of,
    fault_in_typed,
    read_kept,
    written,
)
from daemon.post.secrets import SMTP_PASSWORD
from daemon.requests.request_words import text
from daemon.setting_up.place import SetUpPlace
from daemon.setting_up.put_whole import ONLY_OURS, FileBeside, take_away
from daemon.setting_up.whose_password import away, is_roots

log = logging.getLogger(__name__)


def keep_password(place: SetUpPlace, words: Mapping[str, Any]) -> dict[str, Any]:
    """Keep a password for the account that the words tell of; an empty one forgets what is kept.

    Raises InputError for what cannot be an account or a password, or where the administrator keeps one;
    NaupliadError where the disk does not take it: then all is as it was.
    """
    password, path = text(words, "password"), place.state / FILE_NAME
    if not password:
        take_away(path)
        log.info("the mail password that the set-up kept was forgotten")
        return {"kept": False}
    if is_roots(SMTP_PASSWORD, place.environ):
        raise InputError(
            f"password: found one that the administrator keeps ({SMTP_PASSWORD.credential}), which goes"
            f" first; allowed: to leave it so, or on the machine: {away(SMTP_PASSWORD)}"
        )
    account = _account(words)
    fault = fault_in_typed(password)
    if fault:
        raise InputError(f"password: found a text that {fault}")
    kept = [KeptPassword(account, password), *_still_used(place, account)]
    FileBeside(path, written(kept), ONLY_OURS).put()
    log.info("a mail password was kept, for %s:%s", account.host, account.port)
    return {"kept": True}


def told_of_password(place: SetUpPlace) -> dict[str, Any]:
    """Who keeps a mail password, `root`, `kept` or `none`; the accounts that it is for, the newest first."""
    if is_roots(SMTP_PASSWORD, place.environ):
        return {"mail_password": "root", "mail_accounts": []}
    kept = _kept(place)
    if not kept:
        return {"mail_password": "none", "mail_accounts": []}
    return {"mail_password": "kept", "mail_accounts": [asdict(one.account) for one in kept]}


def _kept(place: SetUpPlace) -> tuple[KeptPassword, ...]:
    """What is kept; nothing, and a line in the log, where that cannot be read."""
    try:
        return read_kept(place.state)
    except InputError as fault:
        log.warning("%s", fault)
        return ()


def _still_used(place: SetUpPlace, other_than: MailAccount) -> list[KeptPassword]:
    """The one that the station's letters go by until another file is kept."""
    server = place.followed.post.server if place.followed else None
    used = account_of(server) if server else None
    return [one for one in _kept(place) if one.account == used and one.account != other_than]


def _account(words: Mapping[str, Any]) -> MailAccount:
    faults: list[str] = []
    named = {"host": "smtp_host", "port": "smtp_port", "security": "security", "user": "user"}
    given = {key: words[name] for name, key in named.items() if words.get(name) is not None}
    line = read_mail_line(given, faults)
    if line is None:
        raise InputError(*faults)
    return MailAccount(*line)
