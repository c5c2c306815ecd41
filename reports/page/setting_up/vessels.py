"""What is said of the vessels of a set-up, and of the probes they may have."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from reports.amounts import in_decimals
from reports.language import say, say_many, spoken
from reports.page.setting_up.probes import measure
from reports.words import clean


@dataclass(frozen=True, slots=True)
class VesselLine:
    """A vessel as it is listed; `wrong` is empty where nothing is."""

    place: int
    name: str
    account: str
    wrong: str


@dataclass(frozen=True, slots=True)
class ProbeTick:
    """A probe that a vessel may have."""

    id: str
    words: str
    ticked: bool


def vessel_line(language: str, place: int, entry: Mapping[str, object], wrong: int) -> VesselLine:
    """A vessel of the station file, as far as it is filled in."""
    with spoken(language):
        name = clean(str(entry.get("id", ""))) or say("without a name")
        kind = {"jar": say("a jar"), "cone": say("a hatching cone")}.get(str(entry.get("kind")), say("a cup"))
        mark = entry.get("mark_ml")
        account = (
            say("{kind}, {mark} mL at the mark", kind=kind, mark=in_decimals(f"{mark:g}"))
            if isinstance(mark, int | float) and not isinstance(mark, bool)
            else kind
        )
        mend = say_many("{count} thing to mend", "{count} things to mend", wrong) if wrong else ""
        return VesselLine(place, name, account, mend)


def probe_ticks(
    language: str, probes: Sequence[Mapping[str, object]], ticked: Sequence[str]
) -> list[ProbeTick]:
    """The probes of a set-up, and those that are named but no more there."""
    with spoken(language):
        known = [(str(one.get("id", "")), measure(str(one.get("measures", "")))) for one in probes]
        gone = [(name, say("not among the probes")) for name in ticked if name not in dict(known)]
        return [
            ProbeTick(name, f"{clean(name)}: {what}", name in ticked)
            for name, what in (*known, *gone)
            if name
        ]
