"""The daemon's one family of errors. Each message says where, what was found and what is allowed."""


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
