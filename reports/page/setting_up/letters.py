"""What is said of letters in a set-up: the password that is kept, a sample that went."""

from collections.abc import Sequence

from reports.language import say, spoken
from reports.words import clean


def password_line(language: str, state: str, account: str, *, is_its: bool) -> str:
    """Whether a password is kept; `state` is "root" (by the machine's administrator), "kept" for users and
    servers `account`, or "none"; `is_its`: they are those of the set-up."""
    with spoken(language):
        if state == "root":
            return say("The password is kept by this machine's administrator. It is used as it is.")
        if state == "kept" and is_its:
            return say(
                "The password is kept ({account}). Type one only to change it.", account=clean(account)
            )
        if state == "kept":
            return say(
                "A password is kept, but for another account ({account}), and is used for no other.",
                account=clean(account),
            )
        return say("No password is kept yet.")


def sample_lines(language: str, ways: Sequence[tuple[str, bool, str]]) -> list[str]:
    """What became of a sample letter, by the way it went."""
    with spoken(language):
        return [
            say("The sample letter was taken by {way}. Look whether it has arrived.", way=clean(way))
            if delivered
            else say("The sample letter did not go by {way}: {account}", way=clean(way), account=account)
            for way, delivered, account in ways
        ]
