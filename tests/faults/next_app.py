"""The next version of the built app: the same app under other file names, as a new build has."""

import hashlib
import re
import shutil
from pathlib import Path

TEXT = frozenset({".js", ".css", ".html", ".webmanifest"})
HASHED = re.compile(r"-([A-Za-z0-9_-]{8})\.[a-z0-9.]+$")


def next_version(dist: Path, out: Path) -> Path:
    """Copy a built app with every hash in its files' names changed, and all that names them.

    Like a real build it has none of the old files, and its worker lists the new ones.
    """
    shutil.copytree(dist, out)
    assets = out / "assets"
    names = {path.name: _renamed(path.name) for path in assets.iterdir()}
    for old, new in names.items():
        (assets / old).rename(assets / new)
    for path in [*assets.iterdir(), *out.glob("*.html"), out / "sw.js"]:
        if path.suffix in TEXT:
            path.write_text(_replaced(path.read_text("utf-8"), names), "utf-8")
    _revise(dist, out)
    return out


def _renamed(name: str) -> str:
    found = HASHED.search(name)
    if found is None:
        return name
    other = hashlib.sha256(found[1].encode()).hexdigest()[:8]
    return name[: found.start(1)] + other + name[found.end(1) :]


def _replaced(text: str, names: dict[str, str]) -> str:
    for old, new in names.items():
        text = text.replace(old, new)
    return text


def _revise(dist: Path, out: Path) -> None:
    """Files whose names stay have their content's hash in the worker's list."""
    worker = (out / "sw.js").read_text("utf-8")
    for path in dist.glob("*.html"):
        old, new = (hashlib.md5(one.read_bytes()).hexdigest() for one in (path, out / path.name))
        assert old in worker, f"the worker does not list {path.name} by its hash"
        worker = worker.replace(old, new)
    (out / "sw.js").write_text(worker, "utf-8")
