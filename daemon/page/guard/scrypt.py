"""scrypt (RFC 7914), by OpenSSL: in this process where it has that, else in a child that ends."""

import hashlib
import json

from daemon.errors import NaupliadError

_CHILD = """
import hashlib, json, sys
told = json.load(sys.stdin)
digits, salt = told.pop("digits").encode(), bytes.fromhex(told.pop("salt"))
print(hashlib.scrypt(digits, salt=salt, **told).hex())
"""
# The very interpreter that runs here: the page's account need not reach the path it was started by.
_PROGRAM = "/proc/self/exe"
_PATIENCE_S = 60.0  # 0.2 s on the desk; a small Pi with a full queue takes its time


def scrypt(digits: str, salt: bytes, *, n: int, r: int, p: int, maxmem: int, dklen: int) -> bytes:
    """The key of digits. Raises NaupliadError where no child can be started, or it fails."""
    costs = {"n": n, "r": r, "p": p, "maxmem": maxmem, "dklen": dklen}
    if hasattr(hashlib, "scrypt"):
        return hashlib.scrypt(digits.encode(), salt=salt, **costs)
    import subprocess  # only here: 0.2 MiB

    asked = json.dumps({"digits": digits, "salt": salt.hex(), **costs})
    try:
        # -I -S: nothing but Python's own modules. The digits go by a pipe: a command line can be read by all.
        answered = subprocess.run(  # noqa: S603 - our own text in our own interpreter
            [_PROGRAM, "-I", "-S", "-c", _CHILD],
            input=asked,
            text=True,
            capture_output=True,
            timeout=_PATIENCE_S,
            check=True,
        )
        return bytes.fromhex(answered.stdout.strip())
    except (OSError, subprocess.SubprocessError, ValueError) as error:
        raise NaupliadError("PIN: could not be looked at: the machine is out of memory or busy") from error
