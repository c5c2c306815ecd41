"""Every reader that meets the outside, for the bounded run and the long one alike."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, given, settings

from tests.kit.fuzz.files import file_targets
from tests.kit.fuzz.lines import line_targets
from tests.kit.fuzz.machine import machine_targets
from tests.kit.fuzz.spoiled import Target
from tests.kit.fuzz.words import word_targets

NAMES = (
    *(
        "station file",
        "story",
        "tape",
        "care log",
        "counts",
        "kept password",
        "password file",
        "address file",
        "battery clock",
        "backup",
    ),
    *("1-Wire files", "IIO files", "hwmon files", "config.txt"),
    *("webhook's answer", "sign of life's answer", "mail server's replies", "broker's packets"),
    *("deed's fields", "inbox", "typed words"),
)


def all_targets(folder: Path) -> dict[str, Target]:
    """The targets by name; what they read and write lies below `folder`."""
    made = [*file_targets(folder), *machine_targets(folder), *line_targets(), *word_targets(folder)]
    return {target.name: target for target in made}


def trial(target: Target, examples: int, told: Callable[[bool], object], **how: Any) -> Callable[[], None]:
    """A hypothesis test that gives a target its share of `examples`; `told` hears if each was taken."""

    @settings(
        max_examples=max(1, round(examples * target.share)),
        deadline=None,
        database=None,
        suppress_health_check=list(HealthCheck),
        **how,
    )
    @given(target.inputs)
    def tried(given: Any) -> None:
        told(target.meet(given))

    return tried
