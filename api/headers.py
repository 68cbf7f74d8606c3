"""Headers that every answer carries, whatever made it.

No HSTS: with the farm's own certificate authority it would lock a phone out for good if the
certificate is lost. No Trusted Types: they break the registration of the service worker.
"""

from litestar.datastructures import MutableScopeHeaders
from litestar.types import Message, Scope

POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self' 'wasm-unsafe-eval'",
        "style-src 'self'",
        "img-src 'self' blob: data:",
        "media-src 'self' blob:",
        "connect-src 'self'",
        "worker-src 'self'",
        "manifest-src 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)
EVERYWHERE = {
    "Content-Security-Policy": POLICY,
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Embedder-Policy": "require-corp",
    "Cross-Origin-Resource-Policy": "same-origin",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Permissions-Policy": "camera=(self), geolocation=(), microphone=()",
}


async def add_headers(message: Message, scope: Scope) -> None:
    """Add them to an answer about to be sent; what the server works out is never cached."""
    if message["type"] != "http.response.start":
        return
    message.setdefault("headers", [])
    headers = MutableScopeHeaders.from_message(message)
    for name, value in EVERYWHERE.items():
        headers.setdefault(name, value)
    if scope["path"].startswith("/api"):
        headers.setdefault("Cache-Control", "no-store")
