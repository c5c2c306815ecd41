"""Who may note something: asked of whoever keeps the PIN."""

from typing import Protocol

from markupsafe import Markup


class Guard(Protocol):
    """Says of the request at hand whether it may write, and what each form must carry."""

    def may_write(self) -> bool:
        """Whether who asks may have something noted."""

    def csrf_field(self) -> Markup:
        """What a form holds so that no foreign page can send it."""


class Open:
    """Lets everybody write."""

    def may_write(self) -> bool:
        """Always."""
        return True

    def csrf_field(self) -> Markup:
        """Nothing."""
        return Markup("")
