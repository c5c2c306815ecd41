"""What must be known of each kind of letter in words, besides the letter itself: one row a kind."""

from collections.abc import Mapping
from dataclasses import dataclass

from reports.language import to_say


@dataclass(frozen=True, slots=True)
class LetterWords:
    """A kind of letter in words.

    `name` is what it is called in a list (to be said). `warns` says that the nightly letter counts it as an
    alarm; `doubts_clock` that it says for itself when the station's clock may be wrong; `words` how many it
    may have about one group of alike vessels (our own choice).
    """

    name: str
    warns: bool = False
    doubts_clock: bool = False
    words: int = 150


LETTERS: Mapping[str, LetterWords] = {
    "cold": LetterWords(to_say("cold letter"), warns=True),
    "hot": LetterWords(to_say("hot letter"), warns=True),
    "lamp": LetterWords(to_say("lamp letter"), warns=True),
    "water": LetterWords(to_say("water letter"), warns=True, words=170),
    "swing": LetterWords(to_say("swing letter"), warns=True),
    "probe": LetterWords(to_say("probe letter"), warns=True),
    "outage": LetterWords(to_say("outage letter"), warns=True),
    "clock": LetterWords(to_say("clock letter"), warns=True, doubts_clock=True),
    "storage": LetterWords(to_say("storage letter"), warns=True),
    "hatch": LetterWords(to_say("hatch letter")),
    "harvest": LetterWords(to_say("harvest letter"), words=200),
    "feed": LetterWords(to_say("feed letter")),
    "leave": LetterWords(to_say("leave letter"), words=250),
    "return": LetterWords(to_say("return letter"), words=200),
    "nightly": LetterWords(to_say("nightly letter"), doubts_clock=True, words=200),
    "digest": LetterWords(to_say("digest letter")),
    "sample": LetterWords(to_say("sample letter")),
}
