"""What is said of letters in a set-up."""

from reports.language import say, spoken


def password_line(language: str, *, kept: bool) -> str:
    """Whether a password is kept for the mail server, apart from the station file."""
    with spoken(language):
        if kept:
            return say("The password is kept by this machine's administrator. It is used as it is.")
        return say("A password never stands in the station file. The administrator keeps it, in:")
