"""Signed HTTP messages, against the worked examples of RFC 9421 and RFC 9530 and a library of others."""

import base64
from types import SimpleNamespace
from typing import Any

import pytest

from daemon.post.http_signature import (
    content_digest,
    hmac_sha256,
    signature_base,
    signature_parameters,
    signed,
)

# RFC 9421, B.1.5 and B.2.5: the secret, the covered components and the signature (from memory: that
# the recalled base gives the recalled signature says that both are recalled rightly).
B15_SECRET = base64.b64decode(
    "uzvJfB4u3N0Jy4T7NZ75MDVcr8zSTInedJtkgcu46YW4XByzNJjxBdtjUkdJPBtbmHhIDi6pcl8jsasjlTMtDQ=="
)
B25_COMPONENTS = {
    "date": "Tue, 20 Apr 2021 02:07:55 GMT",
    "@authority": "example.com",
    "content-type": "application/json",
}
B25_TOLD: list[tuple[str, str | int]] = [("created", 1618884473), ("keyid", "test-shared-secret")]
B25_PARAMETERS = '("date" "@authority" "content-type");created=1618884473;keyid="test-shared-secret"'
B25_SIGNATURE = "pxcQw6G3AjtMBQjwo8XzkZf/bws5LelbaMk5rGIGtE8="


def test_the_signature_of_the_standards_example_comes_out_as_printed() -> None:
    parameters = signature_parameters(B25_COMPONENTS, B25_TOLD)
    assert parameters == B25_PARAMETERS
    base = signature_base(B25_COMPONENTS, parameters)
    assert base64.b64encode(hmac_sha256(B15_SECRET, base)).decode() == B25_SIGNATURE


@pytest.mark.parametrize(
    ("content", "digest"),
    [
        # RFC 9530, appendix B (from memory).
        (b'{"hello": "world"}\n', "sha-256=:RK/0qy18MlBSVnWgjwz6lZEWjP/lF5HF9bvEF8FabDg=:"),
        # The same content without its line end, from the examples of RFC 9421 or its drafts (from memory).
        (b'{"hello": "world"}', "sha-256=:X48E9qOokqqrvdts8nOJRJN3OWDUoyWxBf7kbu9DBPE=:"),
    ],
)
def test_the_digest_of_the_standards_example_comes_out_as_printed(content: bytes, digest: str) -> None:
    assert content_digest(content) == digest


def test_header_fields_are_covered_by_their_small_names_after_what_is_derived() -> None:
    """RFC 9421, 2.1 and 2.5."""
    told = signed(b"key", "who", 17, {"@method": "POST"}, {"Content-Type": " text/plain "})
    assert told["Signature-Input"] == (
        'naupliad=("@method" "content-type");created=17;keyid="who";alg="hmac-sha256"'
    )
    base = b'"@method": POST\n"content-type": text/plain\n"@signature-params": '
    whole = base + told["Signature-Input"].removeprefix("naupliad=").encode()
    assert told["Signature"] == f"naupliad=:{base64.b64encode(hmac_sha256(b'key', whole)).decode()}:"


@pytest.mark.parametrize("value", ["two\nlines", "carriage\rreturn", "Tëxt", "\x00"])
def test_a_value_that_could_be_read_as_two_is_not_signed(value: str) -> None:
    with pytest.raises(ValueError, match="content-type: not one line of printable ASCII"):
        signed(b"key", "who", 17, {}, {"Content-Type": value})


def test_a_string_with_quotes_is_written_as_the_standard_escapes_it() -> None:
    """RFC 9651, 3.3.3."""
    assert signature_parameters([], [("keyid", 'a "b" \\c')]) == r'();keyid="a \"b\" \\c"'


def test_a_library_of_others_finds_the_signature_right() -> None:
    library: Any = pytest.importorskip(
        "http_message_signatures",
        reason="http-message-signatures is not installed (it is in the extra `signatures`)",
    )
    body, url = b'{"number": 7}', "https://hooks.school.example/letters?a=b"
    fields = {"Content-Digest": content_digest(body), "Content-Type": "application/json"}
    headers = fields | signed(
        b"secret", "webhook-secret", 1_600_000_000, {"@method": "POST", "@target-uri": url}, fields
    )

    class Keys:
        def resolve_public_key(self, key_id: str) -> bytes:
            assert key_id == "webhook-secret"
            return b"secret"

    def verify(**changed: str) -> object:
        verifier = library.HTTPMessageVerifier(
            signature_algorithm=library.algorithms.HMAC_SHA256, key_resolver=Keys()
        )
        message = SimpleNamespace(method="POST", url=url, headers=headers | changed, body=body)
        return verifier.verify(
            message, max_age=None, body=body, require_components=["@method", "@target-uri"]
        )

    verify()
    with pytest.raises(library.InvalidSignature):
        verify(**{"Content-Type": "text/plain"})
