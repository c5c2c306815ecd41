"""The probes on the page: what each read last, whether it is trusted, and which vessels hang on it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from reports import probe_words, times, words
from reports.language import in_its_language, say
from reports.letters.known import listed
from reports.letters.past_alarm import in_doubt
from reports.records import Event, Measured, Setting


@dataclass(frozen=True, slots=True)
class ProbeStand:
    """A probe as it stands. `quality` is that of its newest reading, at `read_at` (both None: it never read);
    `good` the newest that is trusted; `doubt` what is strange about it."""

    probe: str
    measures: str
    vessels: tuple[str, ...]
    quality: str | None
    read_at: datetime | None
    good: Measured | None
    doubt: Event | None


@dataclass(frozen=True, slots=True)
class ProbeLines:
    """A probe in words: its name, its trust in a word or two (`well`: nothing is wrong), and what there is to
    say of it."""

    name: str
    trust: str
    well: bool
    lines: tuple[str, ...]


@in_its_language
def probe_lines(setting: Setting, probes: Sequence[ProbeStand]) -> list[ProbeLines]:
    """Each of them, in the order in which they are given."""
    return [_lines(setting, one) for one in probes]


def _lines(setting: Setting, one: ProbeStand) -> ProbeLines:
    name = say("{probe}: {measure}", probe=words.clean(one.probe), measure=probe_words.measure(one.measures))
    hang = listed(one.vessels)
    vessels = (
        say("Vessels that hang on it: {vessels}.", vessels=hang) if hang else say("No vessel hangs on it.")
    )
    if one.read_at is None or one.quality is None:
        return ProbeLines(name, say("Silent"), False, (say("It has read nothing yet."), vessels))
    if one.quality != "good":
        wrong = words.capital(
            say("{fault}, {ago}.", fault=probe_words.fault(one.quality), ago=_ago(setting, one.read_at))
        )
        return ProbeLines(name, say("Not trusted"), False, (wrong, *_good(setting, one), vessels))
    late = times.elapsed(one.read_at, setting.written_at) > setting.fresh_for
    if one.doubt is not None:
        doubt = in_doubt(one.doubt, setting.written_at)
        return ProbeLines(name, say("In doubt"), False, (*_good(setting, one), doubt, vessels))
    trust = say("No new reading") if late else say("Trusted")
    return ProbeLines(name, trust, not late, (*_good(setting, one), vessels))


def _good(setting: Setting, one: ProbeStand) -> tuple[str, ...]:
    """The last reading that counts."""
    if one.good is None:
        return (say("It has given no trusted reading yet."),)
    value = probe_words.value(one.measures, one.good.value, setting.unit)
    return (say("Last trusted reading: {value}, {ago}.", value=value, ago=_ago(setting, one.good.at)),)


def _ago(setting: Setting, at: datetime) -> str:
    return times.ago(times.elapsed(at, setting.written_at))
