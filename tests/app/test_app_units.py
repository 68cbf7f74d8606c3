"""The phone app's own tests and its types, through the one test command."""

import json
from pathlib import Path

from tests.app.node import run


def test_vitest_passes(tmp_path: Path) -> None:
    report = tmp_path / "vitest.json"
    ran = run("vitest/vitest.mjs", "run", "--reporter=json", f"--outputFile={report}")
    assert report.exists(), ran.stdout + ran.stderr
    told = json.loads(report.read_text("utf-8"))
    failed = [
        f"{result['fullName']}: {' '.join(result['failureMessages'])}"
        for file in told["testResults"]
        for result in file["assertionResults"]
        if result["status"] == "failed"
    ]
    assert failed == []
    assert told["success"], ran.stdout + ran.stderr
    assert told["numPassedTests"] > 150


def test_svelte_check_finds_nothing() -> None:
    ran = run("svelte-check/bin/svelte-check", "--output", "human", "--fail-on-warnings")
    assert ran.returncode == 0, ran.stdout + ran.stderr
