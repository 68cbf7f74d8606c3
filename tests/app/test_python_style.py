"""ruff and mypy --strict, through the one test command."""

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
