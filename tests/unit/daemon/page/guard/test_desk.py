"""The desk that lets people in: ten thousand who knock, many at once, and a restart at any moment."""

import threading
from concurrent.futures import ThreadPoolExecutor, as_completed
from itertools import islice
from pathlib import Path

import pytest

from daemon.page.guard.desk import SESSIONS, TRIES, SignInDesk
from daemon.page.guard.pin import Cost, PinRecord, set_pin

NOW = 1_800_000_000.0
QUICK = Cost(2, 8, 1)  # what a try costs is held by test_pin.py


def desk_at(folder: Path, cost: Cost = QUICK) -> SignInDesk:
    set_pin(folder, "735164", cost)
    return SignInDesk(folder, lambda: NOW, {})


def test_ten_thousand_tries_from_as_many_addresses_are_looked_at_25_times(tmp_path: Path) -> None:
    desk = desk_at(tmp_path)
    came = [desk.sign_in("802943", f"address {number}", None, NOW + 60).why for number in range(10_000)]
    assert came == ["wrong"] * 25 + ["early"] * 9_975
    assert (tmp_path / TRIES).stat().st_size < 2_000


def test_many_who_know_the_pin_come_in_at_once_and_each_has_a_session_of_its_own(tmp_path: Path) -> None:
    desk = desk_at(tmp_path)
    together = threading.Barrier(8)

    def come(number: int) -> str:
        together.wait()
        while True:
            came = desk.sign_in("735164", f"address {number}", None, NOW + 60)
            if came.session:
                return came.session
            assert came.why == "busy"

    with ThreadPoolExecutor(8) as pool:
        cookies = set(pool.map(come, range(8)))
    assert len(cookies) == 8
    again = SignInDesk(tmp_path, lambda: NOW, {})
    assert all(again.session(cookie) is not None for cookie in cookies)


def test_whoever_finds_two_at_the_desk_is_sent_away_and_it_costs_no_try(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk = desk_at(tmp_path)
    go_on = threading.Event()
    fits = PinRecord.fits

    def slowly(record: PinRecord, digits: str) -> bool:
        assert go_on.wait(60)
        return fits(record, digits)

    monkeypatch.setattr(PinRecord, "fits", slowly)
    with ThreadPoolExecutor(5) as pool:
        five = [pool.submit(desk.sign_in, "735164", f"address {n}", None, NOW + 60) for n in range(5)]
        sent_away = [one.result().why for one in islice(as_completed(five, timeout=60), 3)]
        go_on.set()
    assert sent_away == ["busy"] * 3
    assert sum(one.result().session is not None for one in five) == 2
    assert all(desk.sign_in("735164", f"address {n}", None, NOW + 60).session for n in range(5))


def test_a_session_in_use_is_written_every_five_minutes_and_not_with_every_use(tmp_path: Path) -> None:
    at = [NOW]
    set_pin(tmp_path, "735164", QUICK)
    desk = SignInDesk(tmp_path, lambda: at[0], {})
    cookie = desk.sign_in("735164", "address", None, NOW + 10_000).session
    session = desk.session(cookie)
    assert cookie is not None
    assert session is not None
    written = []
    for _ in range(100):
        at[0] += 10
        desk.used(session)
        content = (tmp_path / SESSIONS).read_text()
        written += [content] if content not in written else []
    assert len(written) == 4  # 1000 s: as signed in, and three times since
    kept = SignInDesk(tmp_path, lambda: at[0], {}).session(cookie)
    assert kept is not None
    assert 0 < session.active_at - kept.active_at < 300


def test_a_try_is_written_before_it_is_looked_at(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Who pulls the plug meanwhile gains no try."""
    desk = desk_at(tmp_path)

    def plug(*_: object) -> bool:
        raise KeyboardInterrupt

    monkeypatch.setattr(PinRecord, "fits", plug)
    with pytest.raises(KeyboardInterrupt):
        desk.sign_in("735164", "address", None, NOW + 60)
    monkeypatch.undo()
    assert SignInDesk(tmp_path, lambda: NOW, {}).sign_in("735164", "address", None, NOW + 60).why == "early"
