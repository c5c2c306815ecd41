"""A waiting daemon's desk before a real inbox, and a page that somebody signed in to and sets it up by."""

import json
from contextlib import ExitStack
from dataclasses import dataclass, field
from pathlib import Path

from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from daemon.page.guard.answers import SESSION_COOKIE
from daemon.page.guard.pin import Cost, page_folder, set_pin
from daemon.page.guard.sessions import form_token
from daemon.page.guard.visit import TOKEN_FIELD
from daemon.page.site import make_site
from daemon.setting_up.place import SetUpPlace
from tests.kit.page_station import OWN, PIN, main_of
from tests.kit.set_up_daemon import asked

WATER, ROOM = "28-00000a1b2c3d", "28-00000a1b2c4e"
ROOM_FORM = {
    "name": "Room 12",
    "timezone": "Europe/Lisbon",
    "language": "en",
    "temperature_unit": "C",
    "attended-from-1": "08:00",
    "attended-to-1": "15:30",
    "away-first-1": "2027-02-15",
    "away-last-1": "2027-02-19",
}
LAMP = {"lamp-from-1": "18:00", "lamp-to-1": "07:00"}
CUP = {"id": "otter", "kind": "cup", "count": "24", "mark_ml": "250", "across_cm": "7", "low_ml": "40"}


@dataclass
class SetUp:
    """A waiting daemon's desk before a real inbox, and a page that somebody signed in to."""

    folder: Path
    environ: dict[str, str]  # of the page; of the daemon it is `secrets`
    secrets: dict[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.state, self.file = self.folder / "state", self.folder / "station.toml"
        self.state.mkdir()
        self.daemon = ExitStack()
        self.daemon.enter_context(asked(SetUpPlace(self.file, self.state, self.secrets, None)))
        set_pin(page_folder(self.state), PIN, Cost(2, 8, 1))  # what a try costs is held elsewhere
        self.client = self.other()
        assert self.client.post("/pin", data={"pin": PIN}, headers=OWN).status_code == 303

    def other(self) -> FlaskClient:
        """Somebody who is not signed in."""
        return make_site(self.state, environ=self.environ).test_client()

    def get(self, path: str) -> str:
        """What a step says."""
        return main_of(self.client.get(path, follow_redirects=True))

    def post(self, path: str, **form: str | list[str]) -> TestResponse:
        """What it answers to its form, behind the redirect."""
        cookie = self.client.get_cookie(SESSION_COOKIE)
        assert cookie is not None
        data = {TOKEN_FIELD: form_token(cookie.value), **form}
        return self.client.post(f"/set-up{path}", data=data, headers=OWN, follow_redirects=True)

    def filled_in(self) -> None:
        """Room, probes and one cup, as somebody would."""
        self.post("/room", **ROOM_FORM, **{"attended-day": ["1.0", "1.1", "1.2", "1.3", "1.4"]})
        told = (json.dumps({"driver": "ds18b20", "address": number}) for number in (WATER, ROOM))
        rows = {
            f"{name}-{row}": value
            for row, (name_of, measures, keys) in enumerate(
                zip(("water", "air"), ("water_c", "room_c"), told, strict=True), start=1
            )
            for name, value in (
                ("use", "yes"), ("place", "0"), ("id", name_of), ("measures", measures), ("told", keys)
            )
        }  # fmt: skip
        self.post("/probes", **rows)
        self.post("/vessels/1", **CUP, **LAMP, probe=["water", "air"])

    def keep(self) -> TestResponse:
        """The last step."""
        return self.post("/keep")

    def close(self) -> None:
        """The daemon ends."""
        self.daemon.close()
