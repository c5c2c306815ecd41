"""Who may write by the page: asked before each form is carried out, and by each form that is shown."""

from typing import Protocol

from markupsafe import Markup


class Guard(Protocol):
    """Keeps those out who may not write."""

    def may_write(self) -> bool:
        """Whether who asks now may change anything."""

    def csrf_field(self) -> Markup:
        """What a form carries along that shows where it came from."""


class LetsAllIn:
    """For a page that only this machine can reach."""

    def may_write(self) -> bool:
        """Everybody may."""
        return True

    def csrf_field(self) -> Markup:
        """Nothing."""
        return Markup()
