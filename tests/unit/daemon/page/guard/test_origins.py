"""Which addresses are the page's own, and from where it answers."""

import ipaddress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.page.guard.origins import (
    PRIVATE,
    is_own_host,
    is_own_origin,
    may_come,
    own_names,
    visitor_of,
)
from daemon.station import PagePlan

PLAN = PagePlan()
TOLD = PagePlan(address="https://cups.school.example")


@pytest.mark.parametrize(
    "host",
    [
        "localhost:8077",
        "LOCALHOST",
        "127.0.0.1:8077",
        "[::1]:8077",
        "192.168.7.20:8077",
        "[2001:db8::7]",
        "naupliad",
        "naupliad.local:8077",
        "Naupliad.Local.:8077",
        "naupliad-2.local:8077",
        "naupliad.home.arpa",
    ],
)
def test_the_machines_own_names_and_bare_addresses_are_its_own(host: str) -> None:
    assert is_own_host(host, "naupliad.school.example", PLAN)


@pytest.mark.parametrize(
    "host",
    [
        "",
        "evil.example",
        "naupliad.evil.example",
        "naupliad.local.evil.example",
        "evil.local",
        "xnaupliad-2.local",
        "naupliad-2.local.evil.example",
        "localhost.evil.example",
        "127.0.0.1.evil.example",
        "naupliad.local:8077:80",
        "naupliad.local/@evil.example",
        "naupliad.local evil.example",
        "naupliad.local\nevil",
        "cups.school.example",
        "[::1",
        ":8077",
        "näupliad.local",
    ],
)
def test_a_name_that_others_can_own_is_not(host: str) -> None:
    assert not is_own_host(host, "naupliad", PLAN)


def test_the_address_of_the_station_file_is_its_own_as_well() -> None:
    assert is_own_host("cups.school.example", "naupliad", TOLD)
    assert own_names("naupliad", TOLD)[-1] == "cups.school.example"
    assert not is_own_host("cups.school.example.evil.example", "naupliad", TOLD)


def test_a_machine_without_a_name_takes_none() -> None:
    assert own_names("", PLAN) == ("localhost",)
    assert not is_own_host(".local", "", PLAN)
    assert not is_own_host("-2.local", "", PLAN)


@pytest.mark.parametrize(
    ("origin", "host", "plan", "own"),
    [
        ("http://naupliad.local:8077", "naupliad.local:8077", PLAN, True),
        ("http://naupliad.local:8077", "Naupliad.local:8077", PLAN, True),
        ("http://naupliad.local", "naupliad.local", PLAN, True),
        (None, "naupliad.local:8077", PLAN, False),
        ("null", "naupliad.local:8077", PLAN, False),
        ("", "naupliad.local:8077", PLAN, False),
        ("https://naupliad.local:8077", "naupliad.local:8077", PLAN, False),
        ("http://naupliad.local", "naupliad.local:8077", PLAN, False),  # another server of the same machine
        ("http://evil.example", "naupliad.local:8077", PLAN, False),
        ("http://192.168.7.66", "192.168.7.20", PLAN, False),
        # Behind a server that speaks TLS, whatever name that asks by:
        ("https://cups.school.example", "cups.school.example", TOLD, True),
        ("https://cups.school.example", "127.0.0.1:8077", TOLD, True),
        ("https://evil.example", "127.0.0.1:8077", TOLD, False),
    ],
)
def test_a_form_comes_from_the_page_itself_or_not(
    origin: str | None, host: str, plan: PagePlan, own: bool
) -> None:
    assert is_own_origin(origin, host, plan) is own


@pytest.mark.parametrize(
    ("listen", "comes", "stays_out"),
    [
        (
            "loopback",
            ("127.0.0.1", "::1", "::ffff:127.0.0.1"),
            ("192.168.7.3", "fe80::1%eth0", "203.0.113.9"),
        ),
        (
            "lan",
            (
                "127.0.0.1",
                "10.1.2.3",
                "172.31.0.1",
                "192.168.7.3",
                "169.254.9.9",
                "::ffff:192.168.7.3",
                "fd00::7",
            ),
            (
                "203.0.113.9",
                "172.32.0.1",
                "192.169.0.1",
                "2001:db8::7",
                "::ffff:203.0.113.9",
                "",
                None,
                "unix",
            ),
        ),
        ("203.0.113.1", ("203.0.113.9", "127.0.0.1"), ("", None)),
        ("::1", ("127.0.0.1", "::1"), ("192.168.7.3",)),
    ],
)
def test_the_page_answers_whom_the_station_file_lets_in(
    listen: str, comes: tuple[str, ...], stays_out: tuple[str | None, ...]
) -> None:
    plan = PagePlan(listen=listen)
    assert [remote for remote in comes if not may_come(remote, plan)] == []
    assert [remote for remote in stays_out if may_come(remote, plan)] == []


@given(st.ip_addresses())
def test_what_is_taken_for_private_is_not_routed_on_the_internet(
    address: ipaddress.IPv4Address | ipaddress.IPv6Address,
) -> None:
    """Against Python's own tables, which are IANA's special-purpose registries."""
    if may_come(str(address), PagePlan(listen="lan")):
        assert not address.is_global
    assert all(not ipaddress.ip_network(network).is_global for network in PRIVATE)


def test_an_ipv6_device_with_its_many_addresses_is_one_visitor() -> None:
    assert visitor_of("2001:db8::7") == visitor_of("2001:db8::ffff:1") != visitor_of("2001:db8:1::7")
    assert visitor_of("::ffff:192.168.7.3") == visitor_of("192.168.7.3") != visitor_of("192.168.7.4")
    assert visitor_of("fe80::1%eth0") == visitor_of("fe80::2%eth0")
