"""The phone app's files, served from a table in memory: no file path is ever built from a URL.

The table is made once at start, each file with its compressed forms. Any other address that does
not look like a file is a screen of the app and gets its first page.
"""

import gzip
import hashlib
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path, PurePosixPath
from typing import Any

import brotli
from litestar import Request, Response, route
from litestar.enums import HttpMethod
from litestar.handlers import HTTPRouteHandler

import api
from api.problems import NotFound

MEDIA = {
    ".html": "text/html",
    ".js": "text/javascript",
    ".css": "text/css",
    ".json": "application/json",
    ".map": "application/json",
    ".webmanifest": "application/manifest+json",
    ".svg": "image/svg+xml",
    ".png": "image/png",
    ".ico": "image/x-icon",
    ".webp": "image/webp",
    ".woff2": "font/woff2",
    ".wasm": "application/wasm",
    ".txt": "text/plain",
}
PACKED_ALREADY = frozenset({".png", ".ico", ".webp", ".woff2"})
HASHED = "/assets/"
"""Under this folder a file's name holds its content's hash, so it may be kept for good."""
FIRST = "/index.html"
SLOW_FROM = 256 * 1024
"""Bytes from which brotli's last two levels cost seconds at start for a per cent or two."""

NOT_BUILT = """<!doctype html><html lang="en"><meta charset="utf-8"><title>Nubbin</title>
<h1>The phone app has not been built</h1>
<p>The server runs, but this copy holds no built app. Build it in the project's folder with
<code>pip install -e .</code>, or in the folder <code>pwa</code> with
<code>npm ci</code> and <code>npm run build</code>, then start the server again.</p></html>
"""


@dataclass(frozen=True)
class Asset:
    """One file: `forms` maps a content coding to its bytes; '' is the file as it is."""

    media: str
    etag: str
    caching: str
    forms: dict[str, bytes]


def dist_folder() -> Path:
    """Where the built app lies: beside the packages, in a wheel and in a checkout alike."""
    return Path(api.__file__).parent.parent / "pwa" / "dist"


def build_table(dist: Path) -> dict[str, Asset]:
    """Every file under `dist` by its address; empty where the app has not been built."""
    first = dist / FIRST[1:]
    return _table(dist, first.stat().st_mtime_ns) if first.is_file() else {}


@lru_cache(maxsize=4)
def _table(dist: Path, _built: int) -> dict[str, Asset]:
    files = sorted(path for path in dist.rglob("*") if path.is_file())
    return {
        f"/{path.relative_to(dist).as_posix()}": _asset(
            f"/{path.relative_to(dist).as_posix()}", path.read_bytes()
        )
        for path in files
    }


def _asset(address: str, body: bytes) -> Asset:
    suffix = PurePosixPath(address).suffix.lower()
    forms = {"": body}
    if suffix not in PACKED_ALREADY:
        packed = {
            "br": brotli.compress(body, quality=11 if len(body) < SLOW_FROM else 9),
            "gzip": gzip.compress(body, mtime=0),
        }
        forms |= {coding: data for coding, data in packed.items() if len(data) < len(body)}
    kept = "public, max-age=31536000, immutable" if address.startswith(HASHED) else "no-cache"
    return Asset(
        MEDIA.get(suffix, "application/octet-stream"),
        # Weak, since one tag stands for the plain and the compressed forms (RFC 9110, 8.8.1).
        f'W/"{hashlib.sha256(body).hexdigest()[:32]}"',
        kept,
        forms,
    )


def choose_coding(accept: str, forms: dict[str, bytes]) -> str:
    """The best form that an Accept-Encoding header takes; '' is always taken (RFC 9110, 12.5.3)."""
    weights: dict[str, float] = {}
    for part in accept.lower().split(","):
        name, _, parameter = part.partition(";")
        weights[name.strip()] = _weight(parameter)
    for coding in ("br", "gzip"):
        if coding in forms and weights.get(coding, weights.get("*", 0.0)) > 0:
            return coding
    return ""


def _weight(parameter: str) -> float:
    name, _, value = parameter.partition("=")
    try:
        return float(value) if name.strip() == "q" else 1.0
    except ValueError:
        return 0.0


def is_known(if_none_match: str, etag: str) -> bool:
    """Whether the browser holds this very file, by weak comparison (RFC 9110, 13.1.2)."""
    tags = {tag.strip().removeprefix("W/") for tag in if_none_match.split(",")}
    return "*" in tags or etag.removeprefix("W/") in tags


def find(table: dict[str, Asset], path: str) -> Asset | None:
    """The file at a path, or the first page where the path is a screen of the app."""
    if path in table:
        return table[path]
    is_file = path.startswith(HASHED) or PurePosixPath(path).suffix.lower() in MEDIA
    return None if is_file or "\0" in path else table.get(FIRST)


def shell_route(dist: Path) -> HTTPRouteHandler:
    """The handler of every address outside /api."""
    table = build_table(dist)
    return _handler(lambda request: _serve(table, request))


def _handler(serve: Callable[[Request[Any, Any, Any]], Response[bytes]]) -> HTTPRouteHandler:
    @route(
        ["/", "/{path:path}"],
        http_method=[HttpMethod.GET, HttpMethod.HEAD],
        rule="open",
        include_in_schema=False,
        skip_compression=True,
        sync_to_thread=False,
        operation_id="shell",
    )
    def shell(request: Request[Any, Any, Any]) -> Response[bytes]:
        return serve(request)

    return shell


def _serve(table: dict[str, Asset], request: Request[Any, Any, Any]) -> Response[bytes]:
    if not table:
        return Response(NOT_BUILT.encode(), media_type=MEDIA[".html"], status_code=503)
    asset = find(table, request.scope["path"])
    if asset is None:
        raise NotFound
    headers = {"ETag": asset.etag, "Cache-Control": asset.caching, "Vary": "Accept-Encoding"}
    if is_known(request.headers.get("if-none-match", ""), asset.etag):
        return Response(b"", headers=headers, status_code=304, media_type=asset.media)
    coding = choose_coding(request.headers.get("accept-encoding", ""), asset.forms)
    if coding:
        headers["Content-Encoding"] = coding
    return Response(asset.forms[coding], headers=headers, media_type=asset.media)
