"""What a letter is made of: blocks of words, and the order in which they are read."""

from collections.abc import Sequence
from dataclasses import dataclass

from reports.language import say, to_say
from reports.records import Setting

RECORD = to_say("Then write it in the care log:")


@dataclass(frozen=True, slots=True)
class Paragraph:
    """A few sentences."""

    text: str


@dataclass(frozen=True, slots=True)
class Heading:
    """A line that says what follows."""

    text: str


@dataclass(frozen=True, slots=True)
class Facts:
    """Short lines under the name of what they are about; `title` may be empty.

    Those of them that are `spare` are left out where a letter grows too long, the first of them first.
    """

    title: str
    lines: tuple[str, ...]
    spare: tuple[str, ...] = ()

    def without(self, line: str) -> "Facts":
        """The same with a spare line left out."""
        kept, spare = ([one for one in part if one != line] for part in (self.lines, self.spare))
        return Facts(self.title, tuple(kept), tuple(spare))


@dataclass(frozen=True, slots=True)
class Action:
    """The one thing to do; a letter has one."""

    text: str


@dataclass(frozen=True, slots=True)
class Caution:
    """What to mind for safety while doing it."""

    text: str


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture sent along with the letter; the words hold all it shows, so plain text has no more."""

    cid: str
    alt: str


@dataclass(frozen=True, slots=True)
class Table:
    """A row for each vessel or group of them; all rows are as long as the head."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


Block = Paragraph | Heading | Facts | Table | Action | Caution | Picture


@dataclass(frozen=True, slots=True)
class Body:
    """What a letter says after its lead, in the order in which it is read.

    `action` is the one thing to do; `care` what to mind for safety meanwhile, and `record` the lines that
    write it in the care log, to copy. `besides` is what else may be done, and by whom. `known` is what is
    known, with `picture` after it; `means` what that means, and `notes` on it, in paragraphs of which none is
    said again that stood in the last letter of the kind, `spare` what is said of it only where there is room;
    `aside` is what only some look for; `ending` says when the next letter comes.
    """

    action: Action
    care: Sequence[Caution] = ()
    record: Sequence[str] = ()
    besides: Sequence[str] = ()
    known: Sequence[Block] = ()
    picture: Picture | None = None
    means: Sequence[str] = ()
    notes: Sequence[str] = ()
    spare: Sequence[Block] = ()
    aside: Sequence[Block] = ()
    ending: str = ""

    def blocks(self, setting: Setting, spare: Sequence[Block] = ()) -> list[Block]:
        """The same as blocks; of what is spare only this."""
        means, notes = (
            [one for one in part if one and " ".join(one.split()) not in setting.said_last]
            for part in (self.means, self.notes)
        )
        headed = [Heading(say("What it means"))] if means or spare else []
        return [
            self.action,
            *([Caution(" ".join(dict.fromkeys(one.text for one in self.care)))] if self.care else []),
            *([Facts(say(RECORD), tuple(self.record))] if self.record else []),
            *(Paragraph(text) for text in self.besides if text),
            *self.known,
            *([self.picture] if self.picture else []),
            *map(Paragraph, notes),
            *headed,
            *map(Paragraph, means),
            *spare,
            *self.aside,
        ]


def paragraphs(*texts: str) -> list[Block]:
    """Each of them, but for those that are empty."""
    return [Paragraph(text) for text in texts if text]
