"""HTTP Message Signatures (RFC 9421) by HMAC-SHA256, over a digest of the content (RFC 9530)."""

import base64
import hashlib
import hmac
from collections.abc import Iterable, Mapping, Sequence

_LABEL = "naupliad"


def content_digest(content: bytes) -> str:
    """The field `Content-Digest` by SHA-256 (RFC 9530, 2)."""
    return f"sha-256={_bytes(hashlib.sha256(content).digest())}"


def signed(
    secret: bytes,
    key_id: str,
    created_s: int,
    derived: Mapping[str, str],
    fields: Mapping[str, str],
) -> dict[str, str]:
    """The fields `Signature-Input` and `Signature` of a message (RFC 9421, 3.1 and 4).

    `derived` holds components such as `@method` (2.2), `fields` the header fields to cover, by any case of
    their names; both are covered in their order. `created_s` is a moment, Unix seconds. Raises ValueError
    where a component could be read as more than one.
    """
    components = {**derived, **{name.lower(): value.strip() for name, value in fields.items()}}
    told: list[tuple[str, str | int]] = [("created", created_s), ("keyid", key_id), ("alg", "hmac-sha256")]
    parameters = signature_parameters(components, told)
    base = signature_base(components, parameters)
    return {
        "Signature-Input": f"{_LABEL}={parameters}",
        "Signature": f"{_LABEL}={_bytes(hmac_sha256(secret, base))}",
    }


def signature_parameters(covered: Iterable[str], told: Sequence[tuple[str, str | int]]) -> str:
    """What is covered and when, as an inner list of RFC 9651 (RFC 9421, 2.3)."""
    names = " ".join(_string(name) for name in covered)
    values = "".join(f";{name}={value if isinstance(value, int) else _string(value)}" for name, value in told)
    return f"({names}){values}"


def signature_base(components: Mapping[str, str], parameters: str) -> bytes:
    """The lines that are signed (RFC 9421, 2.5).

    Raises ValueError for a value that is not one line of printable ASCII.
    """
    for name, value in components.items():
        if not value.isascii() or not value.isprintable():
            raise ValueError(f"{name}: not one line of printable ASCII")
    lines = [f"{_string(name)}: {value}" for name, value in components.items()]
    return "\n".join([*lines, f'"@signature-params": {parameters}']).encode()


def hmac_sha256(secret: bytes, base: bytes) -> bytes:
    """`hmac-sha256` of RFC 9421, 3.3.3."""
    return hmac.digest(secret, base, hashlib.sha256)


def _string(text: str) -> str:
    """A string of RFC 9651, 4.1.6."""
    if not text.isascii() or not text.isprintable():
        raise ValueError("a string holds printable ASCII only")
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'


def _bytes(raw: bytes) -> str:
    """A byte sequence of RFC 9651, 4.1.8."""
    return f":{base64.b64encode(raw).decode()}:"
