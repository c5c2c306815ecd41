"""What every answer tells the browser: nothing from outside, in no frame of others, in nobody's cache."""

from werkzeug.datastructures import Headers

# No style and no script but the page's own files; forms go to the page alone. `same-origin` and not
# `no-referrer`: that makes browsers send `Origin: null` with the page's own forms (measured, Chromium 156).
POLICY = (
    "default-src 'none'; style-src 'self'; img-src 'self' data:; script-src 'self'; connect-src 'self';"
    " form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
ALWAYS = {
    "Content-Security-Policy": POLICY,
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=(), payment=(), usb=()",
    "Referrer-Policy": "same-origin",
    "X-Content-Type-Options": "nosniff",
}


def put_headers(headers: Headers, *, is_static: bool) -> None:
    """Set them; only the page's own style and script may be kept by a browser."""
    for name, value in ALWAYS.items():
        headers[name] = value
    if not is_static:
        headers["Cache-Control"] = "no-store"
