"""The daemon's one family of errors. Each message says where, what was found and what is allowed."""

# The installer makes the group; who was put into it before signing in, is.
LET_IN = (
    "allowed: members of its group. Let your account in: sudo usermod -aG naupliad $USER, "
    "then sign out and in again"
)


class NaupliadError(Exception):
    """Something a person must know, told in one clear line; `exit_code` is the command's."""

    exit_code = 1


class InputError(NaupliadError):
    """Wrong use or wrong input: nothing was changed.

    `faults` holds one line a fault; the message is all of them, a line each.
    """

    exit_code = 2

    def __init__(self, *faults: str) -> None:
        super().__init__("\n".join(faults))
        self.faults = faults
