"""What every view shares: where one can go, and what is said above all else."""

from dataclasses import dataclass
from datetime import datetime

from reports import times
from reports.language import in_its_language, say, to_say

VIEWS = (
    ("shelf", "/", to_say("Shelf")),
    ("today", "/today", to_say("Today")),
    ("plan", "/plan", to_say("Plan")),
    ("nights", "/nights", to_say("Nights")),
    ("station", "/station", to_say("Station")),
    ("class", "/class", to_say("For the class")),
)


def views() -> list[tuple[str, str, str]]:
    """Each view's key, address and name."""
    return [(key, path, say(name)) for key, path, name in VIEWS]


@dataclass(frozen=True, slots=True)
class WatchState:
    """Whether anybody watches: `running` is the daemon, `read_at` when the last reading came, `played` a
    station whose time was played."""

    language: str
    now: datetime
    running: bool
    read_at: datetime | None
    played: bool = False


@in_its_language
def notices(watch: WatchState) -> tuple[str, ...]:
    """What makes all that the page shows doubtful."""
    if watch.played:
        return (say("This is no station at work: its records end here, and nothing can be noted."),)
    if watch.running:
        return ()
    if watch.read_at is None:
        return (say("The watch is not running, and has read nothing yet."),)
    when = times.moment(watch.read_at, watch.now)
    return (
        say(
            "The watch is not running: what you see is as it was {when}, and nothing can be noted.", when=when
        ),
    )


@in_its_language
def as_of(watch: WatchState) -> str:
    """The moment of which the page speaks."""
    return say("As of {moment}.", moment=times.full_moment(watch.now))
