"""What is said to a form of the page: what was done, or in a line what is wrong with it."""

from reports.language import say, spoken, to_say

_DONE = {
    "seen": to_say("All alarms are marked as seen."),
    "silenced": to_say("That alarm is silenced. It is watched on, and no letter is written about it."),
    "counts": to_say("That alarm counts again."),
    "counted": to_say("That alarm was not silenced."),
    "quiet": to_say("Letters wait now."),
    "loud": to_say("Letters go again."),
    "tried": to_say("What waits for the post is tried now. Look again in a minute."),
    "none": to_say("No letter waits for the post."),
}
_WRONG = {
    "alarm": to_say("Choose one of the alarms in the list."),
    "until": to_say("Choose until when."),
    "moment": to_say("That is no day and time. Write it like 2027-01-18T07:30."),
    "over": to_say("That moment is over already."),
    "far": to_say(
        "That is more than 60 days away. Choose a nearer moment, or silence it until it is taken back."
    ),
}
_NOT_DONE = to_say("{why} Nothing was done.")
_HELD = to_say("Nothing was done yet: choose once more, what you filled in still stands here.")


def done(language: str, what: str) -> str:
    """What was done, by its name in an address; empty for a name that is none."""
    with spoken(language):
        return say(_DONE[what]) if what in _DONE else ""


def wrong(language: str, what: str) -> str:
    """What is wrong with a form."""
    with spoken(language):
        return say(_NOT_DONE, why=say(_WRONG[what]))


def held(language: str) -> str:
    """A form that came before the PIN was given, shown again."""
    with spoken(language):
        return say(_HELD)


def not_done(language: str, why: str) -> str:
    """Why it was not done."""
    with spoken(language):
        return say(_NOT_DONE, why=why)
