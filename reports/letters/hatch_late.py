"""The second letter of a hatch: it comes later than was said, or is long due and nobody saw it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from reports import amounts, times
from reports.language import in_its_language, say, say_many, say_many_in, to_say
from reports.letters import record
from reports.letters.blocks import Body, Caution, Paragraph
from reports.letters.known import Fact, Known, fact, known
from reports.letters.page import letter, subject
from reports.letters.sentences import HYGIENE, action, best, ending, look_lines, names, place
from reports.letters.vessel_kinds import look_into
from reports.records import LetterText, Range, Setting, TimeRange

_LOOK = to_say("look into {where} with a torch from the side. See whether any swim.")
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
    body = Body(
        action=action(setting, say(_LOOK, where=look_into(late))),
        care=[Caution(say(HYGIENE))],
        record=record.of_each([look_lines(one.vessel, begun=_is_under_way(one)) for one in late]),
        known=known([Known(one.vessel, _facts(setting, one)) for one in late], say("Vessel")),
        spare=[Paragraph(one) for one in _means(setting, late, bool(overdue))],
        ending=ending(setting),
    )
    lead = _overdue_lead(setting, overdue) if overdue else _later_lead(setting, late)
    return letter("hatch", _subject(setting, late, overdue), lead, body, setting)


def _is_under_way(one: LateHatch) -> bool:
    return one.hatched_fraction.p50 >= _UNDER_WAY


def _subject(setting: Setting, late: Sequence[LateHatch], overdue: Sequence[LateHatch]) -> str:
    if overdue:
        age = _age(setting, min(overdue, key=lambda one: one.set_at.timestamp()))
        return subject(say("No swimmers noted after {age}", age=age), place(overdue), setting.station)
    half = _latest(late).hatch_t50.p50
    short = (
        say("Hatch later: hour not known yet")
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
    """Whole days, from two days on; a whole count of hours before. It stands after "after"."""
    age = times.elapsed(one.set_at, setting.written_at)
    if age.days >= 2:
        return say_many_in("after, ago", "{count} day", "{count} days", age.days)
    return say_many("{count} hour", "{count} hours", int(age.total_seconds() // 3600))


def _later_lead(setting: Setting, late: Sequence[LateHatch]) -> str:
    half = _latest(late).hatch_t50.p50
    if half is None:
        return say(
            "The hatch in {names} comes later than we expected; how much later is not known yet.",
            names=names(late),
        )
    at = times.moment(times.believed_moment(half), setting.written_at)
    return say(
        "The hatch in {names} comes later than we expected: half of it most likely {at}.",
        names=names(late),
        at=at,
    )


def _overdue_lead(setting: Setting, overdue: Sequence[LateHatch]) -> str:
    first = min(overdue, key=lambda one: one.set_at.timestamp())
    return say(
        "After {age} all eggs (cysts) in {names} should have hatched, but no swimmers are noted.",
        names=names(overdue),
        age=_age(setting, first),
    )


def _facts(setting: Setting, one: LateHatch) -> tuple[Fact, ...]:
    now, half = setting.written_at, one.hatch_t50.p50
    facts = []
    if one.said_t50 is not None:
        said = times.believed_moment(one.said_t50)
        facts.append(Fact(say("We expected half"), times.moment(said, now), times.short_moment(said)))
    passed = half is not None and half <= now
    label = say("Half was expected") if passed else say("Half is expected now")
    facts.append(fact(say("{label} (calculated)", label=label), times.short_range(one.hatch_t50, now)))
    if one.mean_c is not None and one.mean_c < _SLOWER_BELOW_C:
        facts.append(fact(say("Water, on average"), amounts.temperature(one.mean_c, setting.unit)))
    return tuple(facts)


def _means(setting: Setting, late: Sequence[LateHatch], overdue: bool) -> list[str]:
    cool = [one.mean_c for one in late if one.mean_c is not None and one.mean_c < _SLOWER_BELOW_C]
    paragraphs = []
    if cool:
        paragraphs.append(
            say("Best are {best}. Cold slows the hatch, but seldom harms cysts.", best=best(setting))
        )
    if overdue:
        # López-Torres & Lizárraga-Partida 2001, Aquaculture 194.
        paragraphs += [
            say("Cysts without bright light may still wait for it. Seeing none is no fault of yours."),
            say("Some tins hatch well, some hardly at all."),
        ]
    elif not cool:
        paragraphs.append(say("Tins differ: what you see counts more than what is worked out here."))
    return paragraphs
