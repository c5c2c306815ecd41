"""Who is signed in, and which devices were: by cookies of random bytes, of which only digests are kept.

A session's cookie means nothing by itself: what it may do stands here, so one that was ended is worth
nothing, also to whom copied it, and nothing needs a key to sign with. All of it belongs to one PIN, and
ends with that PIN.
"""

import hashlib
import secrets
from dataclasses import dataclass, field
from datetime import time
from math import isfinite
from typing import Any

from daemon.hours import attended_spans, is_attended, next_local_time
from daemon.seconds import DAY_S, HOUR_S
from daemon.station import Station

IDLE_S = HOUR_S // 2
LONGEST_S = 12 * HOUR_S
DEVICE_S = 180 * DAY_S
MOST = 64  # of sessions, and of devices: the one that was idle longest makes room
_STEP_S = 300  # a clock that is put back by more than this ends sessions


@dataclass(slots=True)
class Session:
    """A sign-in: `active_at` is when it was last used, `ends_at` its last moment (Unix seconds)."""

    active_at: float
    ends_at: float

    def may_read(self, now: float) -> bool:
        """Whether it shows what only those who signed in may see: until the day's end."""
        return self.active_at - _STEP_S <= now < self.ends_at

    def may_write(self, now: float) -> bool:
        """Whether it may record: until it is idle for half an hour."""
        return self.may_read(now) and now - self.active_at < IDLE_S


@dataclass(slots=True)
class Sessions:
    """All sessions and known devices under the PIN whose id is `pin`, by the digests of their cookies."""

    pin: str = ""
    sessions: dict[str, Session] = field(default_factory=dict)
    devices: dict[str, float] = field(default_factory=dict)

    def begin(self, pin: str, *, now: float, ends_at: float) -> str:
        """Sign somebody in; the cookie."""
        self._hold_to(pin)
        cookie = secrets.token_urlsafe(32)
        self.sessions = {name: session for name, session in self.sessions.items() if session.may_read(now)}
        self.sessions[_digest(cookie)] = Session(now, ends_at)
        while len(self.sessions) > MOST:
            del self.sessions[min(self.sessions, key=lambda name: self.sessions[name].active_at)]
        return cookie

    def find(self, pin: str, cookie: str | None) -> Session | None:
        """The session of a cookie, None where it has none under this PIN."""
        self._hold_to(pin)
        return self.sessions.get(_digest(cookie)) if cookie else None

    def end(self, cookie: str) -> None:
        """Sign out."""
        self.sessions.pop(_digest(cookie), None)

    def remember(self, pin: str, cookie: str | None, *, now: float) -> str:
        """Know a device again from now on; its cookie, which is the old one where that is known."""
        self._hold_to(pin)
        if cookie is None or _digest(cookie) not in self.devices:
            cookie = secrets.token_urlsafe(32)
        self.devices[_digest(cookie)] = now
        while len(self.devices) > MOST:
            del self.devices[min(self.devices, key=lambda name: self.devices[name])]
        return cookie

    def device(self, pin: str, cookie: str | None, *, now: float) -> str | None:
        """The id of the device that was signed in with this cookie under this PIN, else None."""
        self._hold_to(pin)
        name = _digest(cookie) if cookie else ""
        return name if name in self.devices and now - self.devices[name] < DEVICE_S else None

    def _hold_to(self, pin: str) -> None:
        if pin != self.pin:
            self.pin = pin
            self.sessions.clear()
            self.devices.clear()

    def words(self) -> dict[str, Any]:
        """What has to be kept, for JSON."""
        sessions = {name: [session.active_at, session.ends_at] for name, session in self.sessions.items()}
        return {"pin": self.pin, "sessions": sessions, "devices": self.devices}


def sessions_of(words: object) -> Sessions:
    """What was kept; nothing where it cannot be made out."""
    try:
        kept: Any = words
        sessions = {
            str(name): Session(float(at), float(ends)) for name, (at, ends) in kept["sessions"].items()
        }
        devices = {str(name): float(at) for name, at in kept["devices"].items()}
        moments = [at for session in sessions.values() for at in (session.active_at, session.ends_at)]
        if all(map(isfinite, (*moments, *devices.values()))):
            return Sessions(str(kept["pin"]), sessions, devices)
    except (AttributeError, KeyError, TypeError, ValueError, OverflowError):
        pass
    return Sessions()


def day_ends_at(station: Station | None, now: int) -> int:
    """When a session that begins now ends at the latest: as the attended hours do, at night else.

    Half an hour is left to whoever comes late. 12 hours at most, and where no station is known.
    """
    if station is None or not station.attended:
        return now + LONGEST_S
    if is_attended(station, now):
        ends = attended_spans(station, now, now + DAY_S)[0][1]
    else:
        ends = next_local_time(time(0), now + 1, station.timezone)
    return max(min(ends, now + LONGEST_S), now + IDLE_S)


def form_token(cookie: str) -> str:
    """What stands in each form of a session: nobody knows it without the session's cookie."""
    return _digest("form " + cookie)


def _digest(cookie: str) -> str:
    return hashlib.sha256(cookie.encode("utf-8", "surrogateescape")).hexdigest()
