"""A page with a vessel's chart, served as strictly as the page is, for a real browser."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import reports.page
from reports.page.plot.figure import vessel_plot
from reports.records import NightRecord

STATIC = Path(reports.page.__file__).with_name("static")
STRICT = (
    "default-src 'none'; style-src 'self'; img-src 'self' data:; script-src 'self'; form-action 'self'; "
    "base-uri 'none'; frame-ancestors 'none'"
)
# What page.css defines, for where a chart is looked at alone.
COLOURS = """
:root { color-scheme: light dark; --ground: #fbf8f1; --raised: #ffffff; --ink: #1f1f1f; --soft: #55504a;
  --line: #8a8378; --hair: #d9d2c4; --water: #332288; --light: #882255; --salt: #8e3b8e; --animals: #117733;
  --warm: #9c3a00; --cold: #1b4f9c; --alarm: #a3123a; --focus: #1f4fa8; }
@media (prefers-color-scheme: dark) { :root { --ground: #1b1a18; --raised: #262421; --ink: #f0ebe0;
  --soft: #bdb5a6; --line: #8f887c; --hair: #3c3833; --water: #a9a1ee; --light: #e28ab4; --salt: #dd9add;
  --animals: #6fce8f; --warm: #f0a067; --cold: #8db8f2; --alarm: #ff95a8; --focus: #9dbdf5; } }
* { box-sizing: border-box; }
html { background: var(--ground); color: var(--ink); }
body { margin: 0 auto; max-width: 76rem; padding: 0 0.9rem 2rem; font: 1.05rem/1.5 system-ui, sans-serif; }
.unseen { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); }
"""


def page_with(*records: NightRecord, now: bool = True) -> str:
    """The first vessel of each record in a page of its own making."""
    charts = "".join(
        f"<h2>{n}</h2>{vessel_plot(record, record.vessels[0].vessel, f'chart{n}', now=now)}"
        for n, record in enumerate(records)
    )
    return (
        '<!DOCTYPE html><html lang="en"><head><meta charset="utf-8"><title>A chart</title>'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        '<link rel="stylesheet" href="/colours.css"><link rel="stylesheet" href="/plot.css">'
        '<script src="/plot.js" defer></script></head>'
        f"<body><main><h1>A chart</h1>{charts}</main></body></html>"
    )


@contextmanager
def served(page: str) -> Iterator[str]:
    """The page's address while it is served on this machine."""
    files = {
        "/": ("text/html; charset=utf-8", page),
        "/colours.css": ("text/css", COLOURS),
        "/plot.css": ("text/css", (STATIC / "plot.css").read_text("utf-8")),
        "/plot.js": ("text/javascript", (STATIC / "plot.js").read_text("utf-8")),
    }

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            kind, text = files.get(self.path, ("text/plain", ""))
            body = text.encode()
            self.send_response(200 if self.path in files else 204)  # a browser asks for an icon besides
            self.send_header("Content-Type", kind)
            self.send_header("Content-Length", str(len(body)))
            self.send_header("Content-Security-Policy", STRICT)
            self.end_headers()
            self.wfile.write(body)

        def log_message(self, format: str, *args: object) -> None:  # noqa: A002 - the base class names it so
            """Say nothing."""

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    running = threading.Thread(target=server.serve_forever)
    running.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}/"
    finally:
        server.shutdown()
        running.join()
        server.server_close()
