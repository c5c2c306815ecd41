"""Boxes and receipts: what is packed comes out again, and hostile bytes cost one line."""

import json
import tracemalloc
import zlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.errors import InputError
from daemon.record.box import KINDS, Box, packed, receipt, receipted, unpacked

WORDS = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=12)
NUMBERS = st.integers(1, 2**63 - 1)
FINITE = st.floats(allow_nan=False, allow_infinity=False)
SINGLE = st.none() | st.booleans() | st.integers(-(2**63) + 1, 2**63 - 1) | FINITE
VALUES = st.recursive(
    SINGLE | WORDS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(WORDS, inner, max_size=4),
    max_leaves=20,
)


def depth(value: object) -> int:
    inner = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
    return 1 + max(map(depth, inner), default=0)


NAMES = WORDS.filter(lambda name: name not in ("v", "n", "kind"))
BODIES = st.dictionaries(NAMES, VALUES, max_size=6).filter(lambda body: depth(body) <= 8)


def sent(**said: object) -> bytes:
    return zlib.compress(json.dumps({"v": 1, "n": 7, "kind": "deed", **said}).encode())


def raw(text: str) -> bytes:
    return zlib.compress(text.encode())


@given(st.builds(Box, NUMBERS, st.sampled_from(KINDS), BODIES))
def test_what_is_packed_comes_out_as_it_went_in(box: Box) -> None:
    assert unpacked(packed(box)) == box


@given(st.lists(NUMBERS, max_size=50))
def test_a_receipt_says_the_numbers_it_was_made_of(numbers: list[int]) -> None:
    assert receipted(receipt(numbers)) == tuple(numbers)


def test_an_hour_of_eight_probes_takes_some_bytes_a_reading() -> None:
    # Measured before it was built: 1.4 B a reading with MQTT's own bytes, at one decimal. The bound is wide.
    probe = {
        "measure": "water_c",
        "vessel": "a",
        "first": 0,
        "quality": "good",
        "values": [24.0 + (i % 7) / 16 for i in range(60)],
    }
    body = {"at": 1_800_000_000, "every_s": 60, "probes": {f"p{i}": probe for i in range(8)}}
    assert len(packed(Box(1_800_000_000_000, "hour", body))) < 8 * 60 * 3


@given(st.binary(max_size=200))
def test_bytes_that_are_no_box_cost_one_line(payload: bytes) -> None:
    with pytest.raises(InputError) as refused:
        unpacked(payload)
    assert "\n" not in str(refused.value)


@given(VALUES)
def test_json_that_is_no_box_costs_one_line(value: object) -> None:
    with pytest.raises(InputError) as refused:
        unpacked(zlib.compress(json.dumps(value).encode()))
    assert "\n" not in str(refused.value)


@pytest.mark.parametrize(
    ("payload", "says"),
    [
        (b"", "end too early"),
        (sent()[:-5], "end too early"),
        (sent() + b"x", "too early or too late"),
        (b"\x78\x9c\xff\xff\xff", "cannot be inflated"),
        (zlib.compress(b"\xff\xfe{}"), "no JSON"),
        (raw("[1]"), "allowed: an object"),
        (raw('{"v":1,"n":7,"kind":"deed","amount":NaN}'), "no JSON"),
        (raw('{"v":1,"n":7,"kind":"deed","amount":-Infinity}'), "no JSON"),
        (raw('{"v":1,"n":7,"kind":"deed","amount":1e999}'), "too large"),
        (raw(f'{{"v":1,"n":7,"kind":"deed","at":{2**63}}}'), "too large"),
        (raw('{"v":1,"n":7,"kind":"deed","at":' + "9" * 100_000 + "}"), "no JSON"),
        (raw('{"v":1,"n":7,"kind":"deed","detail":' + "[" * 100_000 + "]" * 100_000 + "}"), "no JSON"),
        (raw('{"v":1,"n":7,"kind":"deed","detail":' + "[" * 9 + "]" * 9 + "}"), "over 8 levels"),
        (raw('{"v":1,"n":7,"kind":"deed","deed":"\\u0000"}'), "none of them NUL"),
        (raw('{"v":1,"n":7,"kind":"deed","\\ud800":1}'), "whole characters"),
        (sent(v=2), "v: found 2"),
        (sent(v=True), "v: found True"),
        (sent(v=None), "v: found None"),
        (sent(n=0), "n: found 0"),
        (sent(n=-1), "n: found -1"),
        (sent(n=True), "n: found True"),
        (sent(n=7.0), "n: found 7.0"),
        (sent(n="7"), "n: found '7'"),
        (sent(kind="wish"), "kind: found 'wish'"),
        (sent(kind=["deed"]), "kind: found ['deed']"),
        (sent(kind="wish\nERROR all is lost"), "kind: found 'wish\\nERROR all is lost'"),
    ],
    ids=lambda part: part[:12] if isinstance(part, str) else "",
)
def test_a_hostile_box_is_refused_in_a_line_that_says_what_was_found(payload: bytes, says: str) -> None:
    with pytest.raises(InputError) as refused:
        unpacked(payload)
    assert says in str(refused.value)
    assert "\n" not in str(refused.value)
    assert len(str(refused.value)) < 200


def test_a_bomb_is_inflated_no_further_than_a_box_may_be() -> None:
    bomb = zlib.compress(bytes(20_000_000), 9)
    tracemalloc.start()
    with pytest.raises(InputError, match="over 1000 bytes"):
        unpacked(bomb, 1000)
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert most < 1_000_000


@pytest.mark.parametrize(
    "payload",
    [b"", b"[]", b"{}", b'{"n":7}', b'{"n":[0]}', b'{"n":[1.5]}', b'{"n":[true]}', b"\xff", b" " * 64_001],
)
def test_a_hostile_receipt_is_refused_in_one_line(payload: bytes) -> None:
    with pytest.raises(InputError) as refused:
        receipted(payload)
    assert "\n" not in str(refused.value)


def test_a_box_with_a_number_that_json_has_not_is_never_packed() -> None:
    with pytest.raises(ValueError, match="not JSON compliant"):
        packed(Box(1, "deed", {"amount": float("nan")}))
