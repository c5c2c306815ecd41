"""Flask imported without what it brings along and the page never calls: a server, a client, encryption."""

import os
import sys
from types import ModuleType
from typing import Any

from daemon.bare_import import instead, put_off, without_its_package

# What Flask and Werkzeug import for a case that does not come here: looking up their version, proposing an
# address for a misspelled one, numbers in JSON; and of packed files (by shutil) two ways.
_SELDOM = ("importlib.metadata", "difflib", "decimal", "bz2", "lzma")


def import_bare() -> None:
    """Import Flask so; where it is loaded already, it stays as it is.

    OpenSSL takes 5 MiB: the page needs it for the PIN alone, which a child looks at (guard/scrypt.py).
    """
    if "werkzeug" in sys.modules:
        return
    package = without_its_package("werkzeug")
    if package is None:  # then Flask says what is missing
        return
    serving = ModuleType("werkzeug.serving")
    vars(serving)["is_running_from_reloader"] = _is_running_from_reloader
    vars(package)["run_simple"] = _run_simple
    # Before anything else asks for hashlib: without OpenSSL it has Python's own SHA, and no scrypt.
    hidden = {"_hashlib": None} if "hashlib" not in sys.modules else {}
    seldom = {name: put_off(name) for name in _SELDOM if name not in sys.modules}
    with instead({"werkzeug.serving": serving, **hidden, **seldom}):
        import flask  # noqa: F401 - imported for its effect on sys.modules


def _is_running_from_reloader() -> bool:
    """As werkzeug.serving has it."""
    return os.environ.get("WERKZEUG_RUN_MAIN") == "true"


def _run_simple(*args: Any, **named: Any) -> None:
    """The server for development, where somebody does ask for it."""
    from werkzeug.serving import run_simple

    run_simple(*args, **named)
