"""The daemon's one family of errors. Each message says where, what was found and what is allowed."""

# The installer makes the group; who was put into it before signing in, is.
LET_IN = (
    "allowed: members of its group. Let your account in: sudo usermod -aG naupliad $USER, "
    "then sign out and in again"
)

_MOST_FAULTS = 40


class NaupliadError(Exception):
    """Something a person must know, said in one clear line; `exit_code` is the command's."""

    exit_code = 1


class InputError(NaupliadError):
    """Wrong use or wrong input: nothing was changed.

    `faults` holds one line a fault; the message is all of them, a line each. Of a file that is something else
    altogether the first are enough.
    """

    exit_code = 2

    def __init__(self, *faults: str) -> None:
        more = len(faults) - _MOST_FAULTS
        self.faults = (*faults[:_MOST_FAULTS], f"and {more} more") if more > 1 else faults
        super().__init__("\n".join(self.faults))
