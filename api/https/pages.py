"""The pages that are made here and not by the app: a device that does not trust us yet has no app.

Plain HTML without a script. Everything put into a page is escaped.
"""

import html
import re
from functools import lru_cache
from pathlib import Path
from string import Template

from api.https.authority import Authority

_FOLDER = Path(__file__).parent / "html"
BRING_IN = "Bring this device to Nubbin"
NEEDS_HTTPS = "Nubbin needs HTTPS"
_DEVICES = {
    "iphone": r"iPhone|iPad",
    "android": r"Android",
    "firefox": r"Firefox/",
    "windows": r"Windows",
    "mac": r"Macintosh",
    "linux": r"Linux|X11",
}
"""By what a browser says of itself; the first that matches has its steps opened."""


def onboarding_page(authority: Authority, app: str, agent: str) -> bytes:
    """How a device learns to trust the farm's own authority. `agent` is its User-Agent header."""
    bound = "bound" if authority.constraints is not None else "unbound"
    body = _filled(
        "onboarding",
        {"meaning": _text(f"{bound}.html"), **_opened(agent)},
        app=app,
        fingerprint=in_lines(authority.fingerprint),
    )
    return _framed(BRING_IN, body)


def explaining_page(app: str, path: str, *, has_steps: bool) -> bytes:
    """For whoever opened a screen of the app over plain HTTP, where HTTPS is to be had."""
    steps = _text("first_time.html") if has_steps else ""
    return _framed(
        NEEDS_HTTPS, _filled("explain", {"first_time": steps}, app=app, target=app + path)
    )


def off_page() -> bytes:
    """For whoever opened the app from another machine where HTTPS is off."""
    return _framed(NEEDS_HTTPS, _text("off.html"))


def stylesheet() -> bytes:
    return _text("onboarding.css").encode()


def in_lines(fingerprint: str) -> str:
    """Four lines of eight bytes: what a person can compare."""
    parts = fingerprint.split(":")
    return "\n".join(":".join(parts[start : start + 8]) for start in range(0, len(parts), 8))


def _opened(agent: str) -> dict[str, str]:
    device = next((name for name, said in _DEVICES.items() if re.search(said, agent)), "")
    return {name: " open" if name == device else "" for name in _DEVICES}


def _filled(page: str, parts: dict[str, str], **values: str) -> str:
    """The page with `parts`, which are HTML of ours, and `values`, which are escaped."""
    escaped = {name: html.escape(value) for name, value in values.items()}
    return Template(_text(f"{page}.html")).substitute(parts | escaped)


def _framed(title: str, body: str) -> bytes:
    return Template(_text("frame.html")).substitute(title=title, body=body).encode()


@lru_cache
def _text(name: str) -> str:
    return (_FOLDER / name).read_text("utf-8")
