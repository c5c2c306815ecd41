"""What numbers rest on, on its way through the inbox: written by who answers, read by who asked."""

from collections.abc import Mapping
from math import isfinite
from typing import Any

from daemon.errors import InputError
from daemon.estimates.grounds import Grounds, Lesson
from daemon.estimates.quantile import Estimate


def grounds_read(answer: Mapping[str, Any]) -> list[Grounds]:
    """The grounds in an answer of `GroundsDesk`. Raises InputError for an answer of another kind."""
    try:
        return [_read(one) for one in answer["grounds"]]
    except (KeyError, TypeError, ValueError, OverflowError, AttributeError) as error:
        raise InputError("grounds: found an answer of another version; start the daemon anew") from error


def grounds_written(one: Grounds) -> dict[str, Any]:
    """Some grounds as the inbox can say them."""
    return {
        "model": one.model,
        "quantities": one.quantities,
        "since": one.since,
        "until": one.until,
        "read_h": one.read_h,
        "unread_h": one.unread_h,
        "lessons": [[lesson.kind, lesson.count, lesson.last_at] for lesson in one.lessons],
        "knowns": {
            name: _ends(known) for name, known in one.knowns.items() if all(map(isfinite, _ends(known)))
        },
    }


def _ends(known: Estimate) -> list[float]:
    return [known.p10, known.p50, known.p90]


def _read(one: Mapping[str, Any]) -> Grounds:
    return Grounds(
        model=one["model"],
        quantities=tuple(one["quantities"]),
        since=int(one["since"]),
        until=int(one["until"]),
        read_h=float(one["read_h"]),
        unread_h=float(one["unread_h"]),
        lessons=tuple(Lesson(kind, int(count), int(last_at)) for kind, count, last_at in one["lessons"]),
        knowns={name: Estimate(*map(float, ends)) for name, ends in one["knowns"].items()},
    )
