"""ruff and mypy --strict, and files short enough to be read at a sitting."""

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]


def _run(*command: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", *command], cwd=ROOT, capture_output=True, text=True, check=False
    )


def test_ruff_finds_nothing() -> None:
    ran = _run("ruff", "check", ".")
    assert ran.returncode == 0, ran.stdout


def test_ruff_would_format_nothing() -> None:
    ran = _run("ruff", "format", "--check", ".")
    assert ran.returncode == 0, ran.stdout + ran.stderr


def test_mypy_strict_finds_nothing() -> None:
    ran = _run("mypy")
    assert ran.returncode == 0, ran.stdout


MOST_LINES = 250
SOURCES = ("api", "labels", "pwa/src", "tests")
MADE = {"pwa/src/api/schema.d.ts"}
"""Written by a program out of another file."""


def test_no_file_is_longer_than_can_be_kept_in_mind() -> None:
    files = [
        path
        for folder in SOURCES
        for path in (ROOT / folder).rglob("*")
        if path.suffix in {".py", ".ts", ".mjs", ".svelte"}
    ]
    assert len(files) > 500
    lines = {
        path.relative_to(ROOT).as_posix(): len(path.read_bytes().splitlines()) for path in files
    }
    assert {name: n for name, n in lines.items() if n > MOST_LINES and name not in MADE} == {}
