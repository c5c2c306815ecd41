"""The record's topics: made from a station's key, and read back."""

import pytest

from daemon.errors import InputError
from daemon.record import topics


def test_a_box_s_topic_tells_whose_it_is() -> None:
    assert topics.box("k7-x") == "naupliad/k7-x/box"
    assert topics.receipt("k7-x") == "naupliad/k7-x/receipt"
    assert topics.key_of_box(topics.box("k7-x")) == "k7-x"


@pytest.mark.parametrize(
    "topic", ["naupliad//box", "naupliad/a/b/box", "naupliad/a/box\n", "naupliad/A/box", "a/box"]
)
def test_no_other_topic_is_a_station_s(topic: str) -> None:
    assert topics.key_of_box(topic) is None


@pytest.mark.parametrize("key", ["", "Room 12", "k" * 41, "a/b", "+", "é"])
def test_a_key_that_would_say_more_or_less_is_refused(key: str) -> None:
    with pytest.raises(InputError, match="allowed: 1 to 40 of a-z, 0-9 and -"):
        topics.check_key("station.toml: mqtt.user", key)
