"""What a plan's card says before anything else: too little salt or air, or what is wrong with its tin."""

from collections.abc import Sequence
from dataclasses import dataclass

from reports import amounts
from reports.language import say, spoken
from reports.planning.card import PlanPart
from reports.words import clean, joined


@dataclass(frozen=True, slots=True)
class UnknownTin:
    """A tin that somebody named and nobody knows, those that are `known`, and one called much like it."""

    name: str
    known: tuple[str, ...]
    near: str | None = None


@dataclass(frozen=True, slots=True)
class AlarmedTin:
    """A tin by its name. `kind` is "falls", from the first share to the last; "disagree", from the lowest to
    the highest; or "too few", the newest share as both. Shares are fractions, of so many `counts`."""

    name: str
    kind: str
    begins: float
    ends: float
    counts: int


def warned(lines: Sequence[str]) -> PlanPart:
    """The part that holds them."""
    return PlanPart(say("First of all") if lines else "", tuple(lines))


def of_tin(tin: UnknownTin | None) -> list[str]:
    """That a tin is not known, and which are."""
    if tin is None:
        return []
    name = clean(tin.name)
    if tin.near is not None:
        return [
            say(
                "No tin {name} is known: did you mean {near}? It is taken as any tin.",
                name=name,
                near=clean(tin.near),
            )
        ]
    if not tin.known:
        return [say("No tin {name} is known: it is taken as any tin.", name=name)]
    known = joined([clean(one) for one in tin.known])
    return [say("No tin {name} is known, but {known}: it is taken as any tin.", name=name, known=known)]


def of_alarmed(tin: AlarmedTin | None) -> list[str]:
    """The same of a tin that a plan is made with; nothing where nothing speaks against it."""
    if tin is None:
        return []
    from reports.tin_alarm import alarm  # few tins bear one

    said = alarm(tin.kind, tin.begins, tin.ends, tin.counts)
    return [say("{name}: {said}", name=clean(tin.name), said=said)]


def alarmed_lines(language: str, tin: AlarmedTin | None) -> list[str]:
    """The same in a language, for who speaks none."""
    with spoken(language):
        return of_alarmed(tin)


def unknown_tin(language: str, tin: UnknownTin | None) -> dict[str, str]:
    """The same as a line beside the field "lot"; nothing where the tin is known, or none was named."""
    with spoken(language):
        lines = of_tin(tin)
    return {"lot": lines[0]} if lines else {}


def of_salt(salt_g_per_kg: float, good: tuple[float, float]) -> list[str]:
    """That cysts need more salt."""
    least, most = good
    if salt_g_per_kg >= least:
        return []
    return [
        say(
            "Cysts need salt: {least} to {most} g in a kg of brine (FAO Fisheries Technical Paper 428). With "
            "less, no hour and no number of animals on this card holds.",
            least=amounts.number(least),
            most=amounts.number(most),
        )
    ]


def of_much_salt(salt_g_per_kg: float, good: tuple[float, float]) -> list[str]:
    """That hours and animals are not known for so much."""
    least, most = good
    if salt_g_per_kg <= most:
        return []
    return [
        say(
            "Cysts hatch well in {least} to {most} g of salt in a kg of brine (FAO Fisheries Technical "
            "Paper 428). With more, fewer hatch than this card says, and later; over 85 g hardly any.",
            least=amounts.number(least),
            most=amounts.number(most),
        )
    ]


def of_air(most_g: float) -> str:
    """That more cysts than so many may have too little air."""
    return say(
        "Over {most} of cysts in each may have too little air (FAO Fisheries Technical Paper 428).",
        most=amounts.grams(most_g),
    )
