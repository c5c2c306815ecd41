"""From where the page may be asked for before a station file says it."""

import pytest

from daemon.errors import InputError
from daemon.page.first_plan import PAGE_FIRST, first_plan, listen_of
from daemon.station import PagePlan


@pytest.mark.parametrize("environ", [{}, {PAGE_FIRST: ""}, {PAGE_FIRST: "loopback"}])
def test_at_first_the_page_is_for_this_machine_alone(environ: dict[str, str]) -> None:
    assert first_plan(environ) == PagePlan()


def test_told_so_it_is_for_the_network_and_as_a_station_file_without_more_has_it_else() -> None:
    assert first_plan({PAGE_FIRST: "lan"}) == PagePlan(listen="lan")


@pytest.mark.parametrize("told", ["everywhere", "0.0.0.0", "LAN", "lan\n"])
def test_another_word_is_refused_in_one_line_as_in_the_station_file(told: str) -> None:
    with pytest.raises(InputError) as refused:
        first_plan({PAGE_FIRST: told})
    (line,) = refused.value.faults
    assert line.startswith(f"{PAGE_FIRST}: found {told!r}")
    assert "allowed: loopback" in line


@pytest.mark.parametrize(
    ("host", "listen"),
    [
        ("0.0.0.0", "lan"),
        ("::", "lan"),
        ("127.0.0.1", "loopback"),
        ("::1", "::1"),
        ("192.168.7.20", "192.168.7.20"),
        ("localhost", "loopback"),
        ("cups.school.example", "loopback"),  # a name may lead anywhere
    ],
)
def test_who_serves_it_at_an_address_by_hand_says_who_may_come(host: str, listen: str) -> None:
    assert first_plan({PAGE_FIRST: listen_of(host)}).listen == listen
