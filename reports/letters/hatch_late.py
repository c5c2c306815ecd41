"""The second letter of a hatch: it comes later than was said, or is long due and nobody saw it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from reports import amounts, times
from reports.language import in_its_language, say, say_many, to_say
from reports.letters.page import Block, Caution, Facts, Heading, Paragraph, letter, subject
from reports.letters.sentences import HYGIENE, action, best, look_lines, name, names, next_letter, place
from reports.letters.vessel_kinds import look_into
from reports.records import LetterText, Range, Setting, TimeRange

_LOOK = to_say(
    "look into {where} with light from the side, and tell the care log what you see: swimmers, or none yet."
)
# New 2002, FAO Fisheries Technical Paper 428, annex 4: best at 25 to 28 °C, slower below.
_SLOWER_BELOW_C = 25.0
_UNDER_WAY = 0.1  # from here on more than the first should swim


@dataclass(frozen=True, slots=True)
class LateHatch:
    """A hatch that is later than was said, or of which nothing was recorded long after it should have come.

    `said_t50` is the moment a letter named before (None: none did); `overdue` says that all of it should
    have hatched by now, and no first swimmer, share or count was recorded.
    """

    vessel: str
    count: int
    set_at: datetime
    said_t50: datetime | None
    hatched_fraction: Range
    hatch_t50: TimeRange
    hatch_t90: TimeRange
    mean_c: float | None
    overdue: bool
    vessel_kind: str


@in_its_language
def late_hatch_letter(setting: Setting, late: Sequence[LateHatch]) -> LetterText:
    """A hatch later than was said, or long due and nothing recorded; `late` holds at least one."""
    overdue = [one for one in late if one.overdue]
    blocks: list[Block] = [
        Heading(say("What is known")),
        *(Facts(name(one), _facts(setting, one)) for one in late),
        Paragraph(
            say(
                "The shares are of those cysts (eggs) that will hatch at all, and are calculated from what "
                "was told, not measured."
            )
        ),
        Heading(say("What it means")),
        *(Paragraph(text) for text in _means(setting, late, bool(overdue))),
        action(setting, say(_LOOK, where=look_into(late))),
        Caution(say(HYGIENE)),
        next_letter(setting),
    ]
    lead = _overdue_lead(setting, overdue) if overdue else _later_lead(setting, late)
    return letter("hatch", _subject(setting, late, overdue), lead, blocks, setting)


def _subject(setting: Setting, late: Sequence[LateHatch], overdue: Sequence[LateHatch]) -> str:
    if overdue:
        age = _age(setting, min(overdue, key=lambda one: one.set_at.timestamp()))
        return subject(say("Hatch not told, set {ago}", ago=age), place(overdue), setting.station)
    half = _latest(late).hatch_t50.p50
    short = (
        say("Hatch later: later than can be told")
        if half is None
        else say("Hatch later: half by {when}", when=_short(half))
    )
    return subject(short, place(late), setting.station)


def _short(half: datetime) -> str:
    return times.short_moment(times.believed_moment(half))


def _latest(late: Sequence[LateHatch]) -> LateHatch:
    def half(one: LateHatch) -> float:
        return float("inf") if one.hatch_t50.p50 is None else one.hatch_t50.p50.timestamp()

    return max(late, key=half)


def _age(setting: Setting, one: LateHatch) -> str:
    """Whole days, from two days on; a whole count of hours before."""
    age = times.elapsed(one.set_at, setting.written_at)
    if age.days >= 2:
        return say_many("{count} day ago", "{count} days ago", age.days)
    return say_many("{count} hour ago", "{count} hours ago", int(age.total_seconds() // 3600))


def _later_lead(setting: Setting, late: Sequence[LateHatch]) -> str:
    half = _latest(late).hatch_t50.p50
    if half is None:
        return say(
            "The hatch in {names} comes later than was told; how much later cannot be told.",
            names=names(late),
        )
    at = times.moment(times.believed_moment(half), setting.written_at)
    return say(
        "The hatch in {names} comes later than was told: half of it most likely {at}.",
        names=names(late),
        at=at,
    )


def _overdue_lead(setting: Setting, overdue: Sequence[LateHatch]) -> str:
    first = min(overdue, key=lambda one: one.set_at.timestamp())
    return say(
        "By the figures all cysts in {names}, set {ago}, should have hatched, but no swimmers have been "
        "told.",
        names=names(overdue),
        ago=_age(setting, first),
    )


def _facts(setting: Setting, one: LateHatch) -> tuple[str, ...]:
    now = setting.written_at
    lines = [
        say(
            "Set {when}, {ago}.",
            when=times.moment(one.set_at, now),
            ago=times.ago(times.elapsed(one.set_at, now)),
        )
    ]
    if one.said_t50 is not None:
        lines.append(
            say("Half was told for: {when}.", when=times.moment(times.believed_moment(one.said_t50), now))
        )
    half = one.hatch_t50.p50
    when = times.moment_range(one.hatch_t50, now)
    lines.append(
        say("Half was expected: {when}.", when=when)
        if half is not None and half <= now
        else say("Half is expected now: {when}.", when=when)
    )
    lines.append(say("Nine in ten: {when}.", when=times.moment_range(one.hatch_t90, now)))
    lines.append(say("Hatched so far: {share}.", share=amounts.percent_range(one.hatched_fraction)))
    if one.mean_c is not None:
        lines.append(
            say(
                "Water since it was set, on average: {temperature}.",
                temperature=amounts.temperature(one.mean_c, setting.unit),
            )
        )
    lines += look_lines(one.vessel, begun=one.hatched_fraction.p50 >= _UNDER_WAY)
    return tuple(lines)


def _means(setting: Setting, late: Sequence[LateHatch], overdue: bool) -> list[str]:
    cool = [one.mean_c for one in late if one.mean_c is not None and one.mean_c < _SLOWER_BELOW_C]
    paragraphs = []
    if cool:
        paragraphs.append(
            say(
                "The water was cooler than the {best} that suit the hatch best, and cold slows it. Cold "
                "alone does not usually harm cysts: a cool hatch comes later.",
                best=best(setting),
            )
        )
    if overdue:
        paragraphs.append(
            say(
                "Perhaps they hatched and nobody has told the care log. Perhaps fewer hatch than hoped: "
                "of 15 lots on sale the middle one hatched 79 in 100, the worst 5 in 100 (López-Torres "
                "and Lizárraga-Partida 2001)."
            )
        )
        paragraphs.append(
            say(
                "Cysts that have had no bright light may still wait for it. If you see none, that is no "
                "fault of yours: what you tell makes the next times better."
            )
        )
    elif not cool:
        paragraphs.append(
            say(
                "Lots of cysts differ from each other, and times are worked out from lots like yours. "
                "What you see counts more than what is worked out here."
            )
        )
    return paragraphs
