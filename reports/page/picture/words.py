"""What a vessel's picture shows, in words: for those who hear the page, and for labels in it."""

from collections.abc import Mapping

from reports import amounts, words
from reports.language import say, say_in, to_say
from reports.letters.sentences import alarms_open
from reports.page.picture.vessel_picture import FeltWarmth, ProbePlace, VesselPicture
from reports.records import Range
from reports.vessel_line import LAMP, STAGES

_WARMTH: Mapping[FeltWarmth, str] = {
    FeltWarmth.TOO_COLD: to_say("too cold"),
    FeltWarmth.COOL: to_say("a bit cold"),
    FeltWarmth.RIGHT: to_say("warm enough"),
    FeltWarmth.WARM: to_say("a bit too warm"),
    FeltWarmth.TOO_HOT: to_say("too hot"),
    FeltWarmth.NOT_KNOWN: to_say("warmth not known"),
}
# Up to which share which words are said; our own choice, no source.
_SHARES = (
    (0.01, to_say("none yet")),
    (0.15, to_say("a few")),
    (0.38, to_say("about a quarter")),
    (0.62, to_say("about half")),
    (0.85, to_say("about three quarters")),
    (1.01, to_say("nearly all")),
)


def title(picture: VesselPicture) -> str:
    """The picture in a line: "tray-a (24 cups): hatching, about half; water …"."""
    parts = [stage(picture), *level(picture), *warmth(picture), *_lamp(picture), *_rest(picture)]
    return f"{words.vessel_name(picture.vessel, picture.count)}: {'; '.join(parts)}"


def description(picture: VesselPicture) -> str:
    """What the lines in it are."""
    return say(
        "The low mark is {low} below the mark, the brim {brim} above it.",
        low=amounts.volume(picture.low_ml),
        brim=amounts.volume(picture.brim_ml),
    )


def stage(picture: VesselPicture) -> str:
    """How far it is: "hatching, about half"."""
    named = say(STAGES[picture.stage])
    if picture.stage == "hatching" and picture.hatched is not None:
        return say("{stage}, {share}", stage=named, share=share(picture.hatched))
    return named


def share(hatched: Range) -> str:
    """A share in words that a child knows: "about half"."""
    return say(next((said for below, said in _SHARES if hatched.p50 < below), _SHARES[-1][1]))


def level(picture: VesselPicture) -> list[str]:
    """Where the water stands, and how surely; nothing where no batch runs in it."""
    if picture.loss_ml is not None:
        return [say("water {level}", level=amounts.level_range(picture.loss_ml))]
    return [] if picture.stage in IDLE else [say("water level not known")]


# Where nobody asks for the water, nothing is said of it.
IDLE = frozenset({"nothing set", "ended"})


def warmth(picture: VesselPicture) -> list[str]:
    """ "a bit cold, 20.4 °C"; nothing where nobody judges it."""
    if picture.warmth is None:
        return []
    felt = say(_WARMTH[picture.warmth])
    if picture.water_c is None:
        return [felt]
    return [
        say(
            "{warmth}, {temperature}",
            warmth=felt,
            temperature=amounts.temperature(picture.water_c, picture.unit),
        )
    ]


def warmth_label(picture: VesselPicture) -> str:
    """The same for the picture itself, where the temperature stands on a line of its own."""
    return "" if picture.warmth is None else say(_WARMTH[picture.warmth])


def _lamp(picture: VesselPicture) -> list[str]:
    return [] if picture.lamp is None else [say(LAMP[picture.lamp])]


def _rest(picture: VesselPicture) -> list[str]:
    return [
        *([say_in("a vessel", "covered")] if picture.covered else []),
        *([say("probe in the air")] if picture.probe is ProbePlace.AIR else []),
        *([alarms_open(picture.alarms)] if picture.alarms else []),
    ]
