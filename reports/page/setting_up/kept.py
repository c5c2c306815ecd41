"""What is said once a station file is kept: what the station reads by it."""

from collections.abc import Sequence

from reports import probe_words
from reports.language import say, spoken
from reports.page.setting_up.probes import measure, reading
from reports.words import clean


def first_reading(
    language: str, probe: str, measures: str, found: tuple[float | None, str] | None, unit: str
) -> str:
    """A probe's newest value and quality; None where it has not read yet."""
    with spoken(language):
        name = f"{clean(probe)} ({measure(measures)})"
        if found is None:
            return say("{probe}: no reading yet.", probe=name)
        value, quality = found
        if quality != "good":
            return say("{probe}: {fault}.", probe=name, fault=probe_words.fault(quality))
        return say("{probe}: good. {reads}", probe=name, reads=reading(language, measures, value, unit))


def gone_lines(language: str, vessels: Sequence[str]) -> list[str]:
    """Vessels that a file would have no more, a line each: renamed they are others."""
    with spoken(language):
        return [
            say(
                "{vessel} is no more in this file: its batch and what was noted of it stay under that name, "
                "and are watched no longer. To go on with it, let it keep its name.",
                vessel=clean(vessel),
            )
            for vessel in vessels
        ]


def meanwhile(language: str) -> str:
    """A form that was shown before somebody else changed the same."""
    with spoken(language):
        return say(
            "This was changed meanwhile, perhaps in another window. Nothing is taken yet: look at it, and "
            "send it once more."
        )


def begins(language: str) -> str:
    """Above what is said while the station begins by a file that was kept."""
    with spoken(language):
        return say("The station begins")


def not_asked(language: str, why: str, line: str) -> str:
    """The daemon did not answer, or said no; `why` is a reason of `deeds.asking.NotDone`."""
    with spoken(language):
        if why == "down":
            return say(
                "The watch's program does not run, and a station is set up by it. On its machine, type:"
            )
        if why in ("busy", "silent"):
            return say("The watch's program gave no answer. Look again in a moment.")
        return line


def changed(language: str, what: str) -> str:
    """What a form of the set-up did; `what` is a word of the address."""
    with spoken(language):
        said = {
            "offset": say("The correction stands in the set-up. It holds once the file is kept."),
            "scale": say("What the light check found stands in the set-up. It holds once the file is kept."),
            "anew": say("The set-up begins anew."),
        }
        return said.get(what, "")
