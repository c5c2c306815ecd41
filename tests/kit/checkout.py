"""Where things lie in a checkout."""

from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
DOCS = ROOT / "docs"
REFERENCE = DOCS / "reference"
DATA = ROOT / "tests" / "data"
UNHEATED_ROOM = DATA / "unheated_room"
