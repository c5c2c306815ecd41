"""Whatever is sent to the page's process: some hundreds of what tests/bench/hostile.py sends by thousands."""

from pathlib import Path

import pytest

from daemon.page.guard.headers import POLICY
from tests.kit.hostile.answers import Answer, faults_of
from tests.kit.hostile.asks import asks
from tests.kit.hostile.trial import try_all
from tests.kit.hostile.words import MARKUP
from tests.kit.listening_desks import NOW


@pytest.mark.parametrize("seed", [11, pytest.param(12, marks=pytest.mark.long)])
def test_nothing_that_is_sent_does_harm(tmp_path: Path, seed: int) -> None:
    count = 200 if seed == 11 else 1000
    came = try_all(iter(asks(seed, count, NOW)), tmp_path)
    assert came.faults == []
    assert came.noted > 0  # some of them were right, so the others were not refused for all alike
    assert len(came.statuses) > 5


def test_the_same_seed_makes_the_same_requests() -> None:
    assert asks(3, 200, NOW) == asks(3, 200, NOW)
    assert asks(3, 200, NOW) != asks(4, 200, NOW)


def test_what_would_be_harm_is_seen() -> None:
    page = {"content-type": "text/html", "content-security-policy": POLICY}
    line = b'<p role="alert">No.</p>'
    assert faults_of(Answer(400, page, line)) == []
    assert faults_of(Answer(200, page, f'<p title="{MARKUP}">'.encode())) != []
    assert faults_of(Answer(200, page, b"<script>alert(1)</script>")) != []
    assert faults_of(Answer(200, {"content-type": "text/html"}, b"")) == ["no policy"]
    assert faults_of(Answer(400, page, line + line)) == ["400 with 2 lines"]
    assert faults_of(Answer(500, page, line)) == ["status 500"]
    assert faults_of(Answer(200, {"x-hostile": "1"}, b"")) != []
