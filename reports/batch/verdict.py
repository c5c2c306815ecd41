"""What the report says first: whether it hatched, how much of it was watched, which limits were passed."""

from datetime import timedelta

from reports import amounts, times, words
from reports.batch.records import SeenHatch, ToldBatch
from reports.batch.watched import KNOWN_SHARE, WatchedTime, watched
from reports.language import say, to_say

_HALF = 0.5
_BY_CALCULATION = to_say("By calculation {share} of those that can hatch had hatched by the end.")
_SHOULD_HAVE = to_say(
    "By calculation most should have hatched by then. The tin may be old: try a little of it before the next "
    "class."
)
_LOOKED = ("hatched", "count", "first-swimmer")


def verdict(batch: ToldBatch) -> list[str]:
    """A few sentences, none of which says more than was seen."""
    seen = watched(batch)
    return [_hatch(batch), _watched(seen), _limits(seen)]


def _hatch(batch: ToldBatch) -> str:
    look = outcome(batch)
    if look is None:
        believed = batch.vessel.hatched_fraction
        nobody = say("Nobody noted whether it hatched.")
        if not believed:
            return nobody
        share = amounts.percent_range(believed[-1].range)
        return f"{nobody} {say(_BY_CALCULATION, share=share)}"
    when = times.full_moment(look.at)
    if look.share == 0.0:
        none = say("It was looked at last on {when}: none had hatched.", when=when)
        return f"{none} {say(_SHOULD_HAVE)}" if _should_have(batch) else none
    if look.share is not None:
        return say(
            "It hatched: somebody saw {share} hatched, {when}.",
            share=amounts.percent(look.share),
            when=when,
        )
    return say("It hatched: {seen}, {when}.", seen=words.clean(look.text), when=when)


def _should_have(batch: ToldBatch) -> bool:
    believed = batch.vessel.hatched_fraction
    return bool(believed) and believed[-1].range.p50 > _HALF


def outcome(batch: ToldBatch) -> SeenHatch | None:
    """The look that tells most of the hatch: the largest share when it was first seen, else the last look.

    Fewer may be seen later: animals are drawn off, and die. Of looks that saw none it is the last.
    """
    looks = [one for one in batch.looks if one.kind in _LOOKED]
    shares = [one for one in looks if one.share is not None]
    if any(one.share for one in shares):
        return max(shares, key=lambda one: one.share or 0.0)
    return next(reversed(shares or looks), None)


def _watched(seen: WatchedTime) -> str:
    share = amounts.percent(seen.share)
    if seen.share <= 0.0:
        return say("The water was not watched at all: how warm it was is not known.")
    if seen.share < _HALF:
        return say(
            "The water was watched {share} of the time only: what happened in most of it is not known.",
            share=share,
        )
    if seen.share < KNOWN_SHARE:
        return say(
            "The water was watched {share} of the time: what happened in the rest is not known.", share=share
        )
    if seen.doubtful:
        return say("The water was watched {share} of the time, with doubts that stand below.", share=share)
    return say("The water was watched {share} of the time.", share=share)


def _limits(seen: WatchedTime) -> str:
    passed = [text for text in _passed(seen) if text]
    if passed:
        return say("Limits passed: {which}.", which=words.joined(passed))
    if seen.passed:
        return say("An alarm stood; it is listed below.")
    if seen.share <= 0.0:
        return say("Whether its limits were kept is not known.")
    if not seen.mostly:
        return say("Where it was watched, no limit was passed; for the rest nobody knows.")
    return say("No limit was passed in that time.")


def _passed(seen: WatchedTime) -> list[str]:
    return [
        say("too cold for {length}", length=_length(seen.cold)) if seen.cold else "",
        say("too hot for {length}", length=_length(seen.hot)) if seen.hot else "",
        say("water at the low mark or below") if seen.low else "",
        say("salt outside its range") if seen.salt else "",
    ]


def _length(length: timedelta) -> str:
    return times.short_length(max(length, timedelta(minutes=1)))
