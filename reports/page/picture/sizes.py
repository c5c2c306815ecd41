"""How large each picture is, and where in its view box its lines and its vessel have their places."""

from dataclasses import dataclass
from typing import Literal

Size = Literal["full", "small", "big"]


@dataclass(frozen=True, slots=True)
class Places:
    """Heights count down from the top. `side` is how much room there is beside the widest vessel; `slots` so
    many animals are drawn at most, `animal` times as large as their drawing; a `letter` is so high, none
    where nothing is written; `fine` says that lines to count millilitres by are drawn, and how sure a level
    is is written. `tray` is how high a tray is that cups stand on."""

    width: float
    height: float
    rim_y: float
    brim_y: float
    low_y: float
    side: float
    slots: int
    animal: float
    letter: float
    tray: float
    fine: bool = False

    @property
    def centre_x(self) -> float:
        """Where the vessel's middle is."""
        return self.width / 2

    @property
    def widest(self) -> float:
        """Half of the widest vessel."""
        return self.centre_x - self.side

    def bottom_y(self, count: int) -> float:
        """Where the vessel stands: on the board, or on its tray."""
        return self.height - 1.5 - (self.tray if count > 1 else 0.0)


PLACES: dict[Size, Places] = {
    "full": Places(320, 292, 76, 100, 202, 94, 14, 1.0, 16, 20, fine=True),
    "small": Places(100, 108, 27, 36, 73, 19, 6, 0.78, 0, 13),
    "big": Places(520, 420, 108, 142, 286, 150, 8, 2.2, 24, 28),
}
