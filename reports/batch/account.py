"""The report of batches as one text with its pictures: for HTML and for paper alike."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from reports import times, words
from reports.batch.happened import happened, planned
from reports.batch.learned import learned
from reports.batch.records import Account, ToldBatch
from reports.batch.verdict import verdict
from reports.language import in_its_language, say, to_say
from reports.letters.blocks import Block, Caution, Facts, Heading, Paragraph, Picture
from reports.records import NightRecord

# What is done with what is left, docs/explanation/safety.md and the handbook's *Cautions*.
LEFT_OVER = (
    to_say("Your school's rules come first."),
    to_say("Never release cysts or animals into a pond, a river, the sea or the drain. They stay indoors."),
    to_say("Dry cysts survive frost and drought: drying or freezing does not make them harmless."),
    to_say("What is left over an adult bleaches or boils. Then it is thrown away as the school's rules say."),
    to_say("Bleach is for adults, with gloves and goggles. Open a window."),
    to_say(
        "Bleach never meets vinegar, descaler or any other cleaner: together they give off poisonous gas."
    ),
    to_say("Boiling water scalds. Let it cool before it is carried."),
    to_say("Before you empty a vessel, switch off and unplug lamp, pump and heater. Let them cool."),
    to_say("Dry your hands before you touch a plug. Salt water and mains current do not go together."),
    to_say("Wash your hands afterwards. Cyst dust can set off an allergy: keep the tin closed."),
    to_say("Spoons and cups that were used here are not used for food again."),
)


@dataclass(frozen=True, slots=True)
class BatchReport:
    """The report's words. `pictures` are the records whose charts stand where a block names them, `parts` the
    headings under which each of several batches begins.
    """

    title: str
    lead: str
    blocks: tuple[Block, ...]
    signature: str
    pictures: Mapping[str, NightRecord]
    language: str
    parts: tuple[str, ...] = ()


@in_its_language
def written(account: Account, alts: Mapping[str, str] | None = None) -> BatchReport:
    """The whole report; `alts` are the words of each picture by its name, where they are known already."""
    setting, batches = account.setting, account.batches
    told, station = alts or {}, words.clean(setting.station)
    blocks: list[Block] = []
    for place, batch in enumerate(batches):
        blocks += _of(batch, f"batch-{place}", told, several=len(batches) > 1)
    blocks += left_over()
    return BatchReport(
        say("{station}: report of the batch", station=station),
        _lead(account),
        tuple(blocks),
        say(
            "{station}, {when}.",
            station=words.clean(setting.station),
            when=times.full_moment(setting.written_at),
        ),
        {f"batch-{place}": batch.record for place, batch in enumerate(batches)},
        account.language,
        tuple(map(_span, batches)) if len(batches) > 1 else (),
    )


def _lead(account: Account) -> str:
    if len(account.batches) == 1:
        return _span(account.batches[0])
    names = words.joined([words.clean(one.vessel.vessel) for one in account.batches])
    return say("Batches of {names}", names=names)


def _span(batch: ToldBatch) -> str:
    vessel, span = batch.vessel, batch.record.span
    name = words.vessel_name(vessel.vessel, vessel.count)
    began = times.dated(span.began, span.ended)
    if batch.ended_at is None:
        return say("{vessel}: set {began}, still running", vessel=name, began=began)
    return say(
        "{vessel}: {began} to {ended}", vessel=name, began=began, ended=times.dated(span.ended, span.ended)
    )


def _of(batch: ToldBatch, cid: str, alts: Mapping[str, str], *, several: bool) -> Sequence[Block]:
    return [
        *([Heading(_span(batch))] if several else []),
        *map(Paragraph, verdict(batch)),
        *planned(batch),
        *happened(batch),
        Picture(cid, alts.get(cid, "")),
        *_of_the_picture(batch),
        *learned(batch),
    ]


def _of_the_picture(batch: ToldBatch) -> list[Block]:
    """What a share in the picture is of: the looks above may be of all cysts."""
    if not batch.vessel.hatched_fraction:
        return []
    return [Paragraph(say("“Hatched” in the picture: of the cysts that can hatch, calculated."))]


def left_over() -> list[Block]:
    """What is done with what is left, and what to mind."""
    first, *rest = (say(line) for line in LEFT_OVER)
    return [Heading(say("What is left over")), Caution(first), Facts("", tuple(rest))]
