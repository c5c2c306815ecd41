"""Requests as no browser sends them, as bytes: every address and form of the page, by chance from a seed."""

import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from urllib.parse import quote, urlencode

from reports.page.doing.choices import CHOICES
from reports.page.doing.fields import names
from tests.kit.hostile.words import MARKUP, NASTY, moment, word

HOST = "127.0.0.1"
VESSELS = ("tray", "cup", "cone")
VIEWS = (
    *("/", "/today", "/class", "/station", "/nights", "/take-away", "/pin", "/calendar.ics"),
    *("/plan", "/plan/dose", "/plan/cone", "/plan/start", "/plan/start.ics", "/plan/tin", "/plan/tins"),
    *("/plan/experiment", "/experiment/1", "/experiment/1.csv", "/plan/wrap-up", "/plan/cups"),
    *("/plan/spoonfuls", "/experiment/1/form.csv"),
    *("/paper", "/paper/labels", "/paper/week", "/paper/count", "/paper/dose", "/paper/experiment"),
    *("/set-up", "/set-up/begun"),
)
NAMED = (
    *("/vessel/{}", "/why/{}", "/do/{}", "/nights/{}", "/night/{}", "/letter/{}", "/deed/{}", "/done/{}"),
    "/plan/wrap-up/{}",
)
PLAN_FORMS = (
    *("/plan/start", "/plan/start/back", "/plan/tin/keep", "/plan/tins/back"),
    *("/plan/experiment", "/experiment/1", "/experiment/1/back", "/experiment/{}/discard", "/experiment/{}"),
    *("/experiment/1/lost", "/experiment/1/table", "/experiment/1/counts"),
)
DEEPER = (
    "/do/{}/{}",
    "/experiment/{}",
    "/letter/{}/chart.png",
    "/lesson/{}.zip",
    "/static/{}",
    "/set-up/{}",
    "/{}/{}",
)
STATION_FORMS = ("seen", "silence", "take-back", "quiet", "loud", "try")
TIN_FORMS = ("/plan/tin/keep", "/plan/tins/back")
SET_UP_FORMS = ("room", "probes", "vessels", "vessels/0", "letters", "keep", "anew")
FIELDS = (
    *("amount", "text", "lot", "salt_g_per_l", "volume_ml", "light", "to", "above_ml", "food", "with"),
    *("of_cysts", "water_c", "scale_c", "reference_c", "vessel", "deed", "detail", "amount:tray", "also"),
    *("reading", "alarm", "pin", "next", "held", "held_to", "name", "zone", "timezone", "language", "id"),
    *("vessels", "salt_means", "soda_g_per_l", "way", "share", "cysts_per_g", "hydrometer", "cysts_g"),
    *("daily_at", "strain", "put", "hatched", "hours", "water"),
    *("mark_ml", "brim_ml", "surface_cm2", "unit", "do", "address", "listen", "driver", "kind"),
)
PLANNED = (
    *(
        "idea",
        "factor",
        "other",
        "levels",
        "cups",
        "of",
        "near",
        "seed",
        "cup",
        "hatched",
        "hours",
        "correct",
        "table",
    ),
)
TIMES = ("when", "at", "until", "moment")
QUERIES = (
    *("levels", "cup", "experiment", "sheet", "back", "span", "vessel", "paper", "done", "again", "next"),
    *("key", "also", "when", "first", "put", "hatched", "hours", "water", "umbrella", "full_left", "lot"),
    *("cups", "of", "share", "difference", "dispersion", "counts", "ml", "volume_ml"),
)
KINDS = (
    *("application/x-www-form-urlencoded",) * 12,
    *(
        "multipart/form-data; boundary=x",
        "multipart/form-data",
        "application/json",
        "text/plain",
        "",
        "x/\xff",
    ),
)


@dataclass
class Ask:
    """A request; `signed` sends it with a session and its token, `own` with the page's own `Origin`.

    `malformed`: it is no HTTP, so an answer may stay out. `body` comes with its length unless `headers` have
    another way to tell it.
    """

    method: str
    path: str
    body: bytes = b""
    headers: list[tuple[str, str]] = field(default_factory=list)
    signed: bool = False
    own: bool = True
    host: str = HOST
    malformed: bool = False
    form: dict[str, str] | None = None

    def raw(self, cookie: str, token: str) -> bytes:
        """The bytes, of somebody with that session where it is signed."""
        headers, body = [("Host", self.host), ("Connection", "close"), *self.headers], self.body
        if self.form is not None:
            form = {**({"form_token": token} if self.signed else {}), **self.form}
            body = urlencode(_bytes(form)).encode()
        if self.own and self.method == "POST":
            headers.append(("Origin", f"http://{self.host}"))
        if self.signed:
            headers.append(("Cookie", cookie))
        elif self.signed:
            body = body.replace(b"TOKEN", token.encode())
        names = {name.lower() for name, _ in headers}
        if body and not names & {"content-length", "transfer-encoding"}:
            headers.append(("Content-Length", str(len(body))))
        if self.form is not None and "content-type" not in names:
            headers.append(("Content-Type", KINDS[0]))
        lines = [f"{self.method} {self.path} HTTP/1.1", *(f"{name}: {value}" for name, value in headers)]
        return "\r\n".join(lines).encode("latin-1", "replace") + b"\r\n\r\n" + body


def asks(seed: int, count: int, now: int) -> list[Ask]:
    """So many requests; the same for the same seed and moment (Unix s)."""
    chance = random.Random(seed)
    made = (_view, _view, _form, _form, _form, _form, _station, _experiment, _set_up, _sign_in, _odd_http)
    made += (_upload,)
    return [chance.choice(made)(chance, now) for _ in range(count)]


def _view(chance: random.Random, _now: int) -> Ask:
    path = chance.choice((*VIEWS, *NAMED, *NAMED, *DEEPER, "/lesson/1.zip", "/records.zip"))
    inside = [_named(chance) for _ in range(path.count("{}"))]
    asked = {chance.choice(QUERIES): _short(chance) for _ in range(chance.randrange(3))}
    query = urlencode(_bytes(asked)) if chance.random() < 0.5 else ""
    return Ask("GET", path.format(*inside) + (f"?{query}" if query else ""), signed=chance.random() < 0.5)


def _named(chance: random.Random) -> str:
    """What stands in the place of a vessel, an entry, a night."""
    odd = (
        "..",
        "%2e%2e%2f%2e%2e%2fetc%2fpasswd",
        "%00",
        "%ff%fe",
        "%0d%0aX-Hostile:%201",
        "-1",
        "9" * 30,
        "1,1",
    )
    known = (*VESSELS, "1", "2026-10-25", *CHOICES)
    return chance.choice(
        (chance.choice(odd), chance.choice(known), quote(_short(chance).encode("utf-8", "replace")))
    )


def _short(chance: random.Random) -> str:
    return word(chance)[:300]


def _filled(chance: random.Random, now: int) -> dict[str, str]:
    chosen = chance.sample((*FIELDS, *TIMES), chance.randrange(1, 8))
    filled = {one: moment(chance, now) if one in TIMES else word(chance) for one in chosen}
    if chance.random() < 0.05:
        filled |= {f"field{n}": "x" for n in range(chance.choice((150, 250, 3000)))}
    return filled


def _form(chance: random.Random, now: int) -> Ask:
    """A deed; often one whose key is of a form that was given out, and whose amount is one."""
    form = _filled(chance, now)
    if chance.random() < 0.7:
        form["once"] = chance.choice(("KEY", "KEY", f"{now}-00000000-{'0' * 16}", word(chance)))
    vessel, choice = chance.choice(VESSELS), chance.choice(tuple(CHOICES))
    if chance.random() < 0.5:  # the fields that this form has, so that all of it comes back or is noted
        form = {name: chance.choice((*NASTY, MARKUP, "1", "3 ml")) for name in names(CHOICES[choice])}
        form |= {"once": "KEY", "amount": chance.choice(("3", "0.5", MARKUP, word(chance)))}
    named = _named(chance)
    path = chance.choice(
        (f"/do/{vessel}/{choice}",) * 6 + (f"/do/{vessel}", "/done/1/back", f"/deed/{named}")
    )
    signed = chance.random() < 0.6
    return _sent(chance, Ask("POST", path, form=form, signed=signed, own=chance.random() < 0.9))


def _station(chance: random.Random, now: int) -> Ask:
    path = chance.choice((*(f"/station/{one}" for one in STATION_FORMS), *TIN_FORMS))
    form = _filled(chance, now)
    if chance.random() < 0.4:
        form |= {"alarm": chance.choice(("cold:cup", "probe:", MARKUP)), "until": moment(chance, now)}
    return _sent(chance, Ask("POST", path, form=form, signed=chance.random() < 0.6))


def _experiment(chance: random.Random, now: int) -> Ask:
    """A plan or a count; often one that could be."""
    form = {name: word(chance) for name in chance.sample(PLANNED, chance.randrange(1, 8))}
    if chance.random() < 0.5:
        form = {
            "factor": "salt",
            "levels": "10;25",
            "cups": "2",
            "of": "9",
            "near": "lamp",
            "seed": "7",
            **form,
        }
        form |= {"hatched": chance.choice(("3", "-1", MARKUP))}
    path = chance.choice(PLAN_FORMS).format(_named(chance))
    return _sent(chance, Ask("POST", path, form=form, signed=chance.random() < 0.6))


def _upload(chance: random.Random, _now: int) -> Ask:
    """A table of counts as a file: in order, spoiled, huge, or no file at all."""
    rows = "\r\n".join(f"{chance.choice(('A3', 'F4', '', MARKUP))},9,{word(chance)[:40]}" for _ in range(5))
    table = chance.choice(
        (
            b"cup,of,hatched\r\n" + rows.encode("utf-8", "replace"),
            b"\xef\xbb\xbfcup;of;hatched;hours\nA3;9;3;47,5\n",
            b"\n" + b"cup,of,hatched\nA3,9,3\n" * 2,
            "cup,of,hatched\nA3,9,3\n".encode("utf-16"),
            b"cup,of,hatched\nA3,9,3\n" * chance.choice((100, 4_000, 100_000)),
            bytes(chance.randrange(256) for _ in range(chance.randrange(400))),
            word(chance).encode("utf-8", "replace"),
        )
    )
    name = (
        word(chance)[:60]
        .encode("utf-8", "replace")
        .replace(b'"', b"")
        .replace(b"\r", b"")
        .replace(b"\n", b"")
    )
    file = b'Content-Disposition: form-data; name="table"; filename="' + name + b'"\r\n\r\n' + table
    told = b'Content-Disposition: form-data; name="form_token"\r\n\r\nTOKEN'
    parts = [told, file] * chance.choice((1, 1, 1, 1, 150))
    ends = chance.choice((b"--x--\r\n", b"--x--\r\n", b"", b"--x\r\n"))
    body = b"".join(b"--x\r\n" + part + b"\r\n" for part in parts) + ends
    huge = len(body) > 100_000
    return Ask(
        "POST",
        "/experiment/1/table",
        body=body,
        headers=[("Content-Type", "multipart/form-data; boundary=x")],
        signed=chance.random() < 0.8,
        malformed=huge,
    )


def _set_up(chance: random.Random, now: int) -> Ask:
    path = f"/set-up/{chance.choice(SET_UP_FORMS)}"
    return _sent(chance, Ask("POST", path, form=_filled(chance, now), signed=chance.random() < 0.6))


def _sign_in(chance: random.Random, now: int) -> Ask:
    """Wrong PINs, forms that are held, sessions that are none."""
    form = {**_filled(chance, now), "pin": chance.choice(("000000", "", word(chance)))}
    form |= {
        "held": urlencode(_bytes(_filled(chance, now))),
        "held_to": chance.choice(("/do/cup/note", "/deed/1", "/station/quiet", _short(chance))),
    }
    forged = [("Cookie", f"naupliad-session={quote(_short(chance).encode('utf-8', 'replace'))}")]
    path = chance.choice(("/pin", "/pin", "/calendar/new", "/sign-out"))
    return _sent(chance, Ask("POST", path, form=form, headers=forged, own=chance.random() < 0.8))


def _sent(chance: random.Random, ask: Ask) -> Ask:
    """The form as it is, or said to be something else."""
    if chance.random() < 0.1:
        ask.headers.append(("Content-Type", chance.choice(KINDS)))
    return ask


def _odd_http(chance: random.Random, _now: int) -> Ask:
    long = "y" * chance.choice((2_000, 20_000, 200_000))
    chunks = [("Transfer-Encoding", "chunked"), ("Content-Type", KINDS[0])]
    broken = chance.choice(
        (b"5\r\nab", b"zz\r\nab\r\n", b"-1\r\n\r\n", b"3\r\nabcdef\r\n0\r\n\r\n", b"ffffffffff\r\na\r\n")
    )
    odd: Sequence[Ask] = (
        Ask("POST", "/do/cup/note", body=broken, headers=chunks, malformed=True),
        Ask("POST", "/do/cup/note", body=b"5\r\ntext=\r\n0\r\n\r\n", headers=chunks, signed=True),
        Ask("POST", "/do/cup/note", body=b"text=a", headers=[("Content-Length", "-1")], malformed=True),
        Ask("POST", "/do/cup/note", body=b"text=a", headers=[("Content-Length", "99")], malformed=True),
        Ask("POST", "/do/cup/note", body=long.encode(), headers=[("Content-Type", KINDS[0])], malformed=True),
        Ask("GET", "/", headers=[("X-Long", long)], malformed=True),
        Ask("GET", "/", headers=[(f"X-{n}", "1") for n in range(chance.choice((90, 5_000)))], malformed=True),
        Ask(
            "GET",
            "/",
            headers=[("Accept-Language", chance.choice(NASTY).replace("\n", "").replace("\r", ""))],
        ),
        Ask("GET", "/", headers=[("Cookie", f"naupliad-session={MARKUP}; =; a=b;;")]),
        Ask(
            "GET", "/", host=chance.choice(("evil.example", MARKUP, "127.0.0.1:99999", "", "[::1", "a" * 300))
        ),
        Ask("POST", "/pin", form={"pin": "1"}, host="evil.example"),
        Ask("GET", "/" + long, malformed=True),
        Ask("GET", "//evil.example/%2e%2e/..%5c..", headers=[("Range", "bytes=0-1,-5"), ("If-Range", "x")]),
        Ask("GET", "http://evil.example/", headers=[("Forwarded", "for=1"), ("X-Forwarded-For", MARKUP)]),
        Ask(chance.choice(("PUT", "DELETE", "OPTIONS", "TRACE", "PATCH", "BREW", "HEAD")), "/do/cup/stir"),
        Ask("GET", "/ HTTP/1.1\r\nX: y\r\n\r\nGET /", malformed=True),
        Ask("\x16\x03\x01", "/", malformed=True),
    )
    return chance.choice(odd)


def _bytes(form: Mapping[str, str]) -> dict[str, bytes]:
    """Halves of characters too, as a program may send them."""
    return {name: value.encode("utf-8", "surrogatepass") for name, value in form.items()}
