"""`nubbin backup`, `restore` and `new-epoch`, and phones that come back to a restored server."""

import signal
from pathlib import Path
from typing import Any

import httpx
import pytest

from api.backup.epoch import new_epoch
from api.database import Database
from api.problems import OtherEpoch
from api.sync.pull import page
from tests.backup.farm import epoch, log
from tests.cluster import Cluster
from tests.server.running import address, nubbin, started
from tests.sync.phone import NOW, Phone, begin

SAME_ORIGIN = {"Sec-Fetch-Site": "same-origin"}


def said(ran: Any, *words: str) -> None:
    """The command was refused with one clear sentence."""
    assert (ran.returncode, ran.stdout, "Traceback" in ran.stderr) == (2, "", False), ran
    for word in words:
        assert word in ran.stderr


class Keeper:
    """A phone that is signed in, keeps its cookie and its records, and pushes and pulls."""

    def __init__(self, base: str, token: str) -> None:
        self.web = httpx.Client(base_url=base, headers=SAME_ORIGIN)
        claimed = self.web.post("/api/access/claim", json={"token": token, "device_name": "p"})
        self.web.headers["Cookie"] = claimed.headers["set-cookie"].split(";")[0]
        me = claimed.json()
        self.phone = Phone(me["device"]["id"])
        self.phone.staff = me["staff"]["id"]

    def moved_to(self, base: str) -> None:
        cookie = self.web.headers["Cookie"]
        self.web = httpx.Client(base_url=base, headers=SAME_ORIGIN | {"Cookie": cookie})

    def define(self, name: str) -> dict[str, Any]:
        body = {"list": "tank", "fields": {"name": name}}
        return self.phone.make("define", ("item", f"tank.{name.lower()}"), body)

    def push(self, *records: dict[str, Any]) -> list[str]:
        answer = self.web.post(
            "/api/sync/push", content=self.phone.batch(list(records), NOW),
            headers={"Content-Type": "application/json"},
        )  # fmt: skip
        return [one["answer"] for one in answer.json()["answers"]]

    def pull(self, cursor: str | None = None) -> httpx.Response:
        return self.web.get("/api/sync/pull", params={"after": cursor} if cursor else {})


def test_a_phone_sends_again_what_a_restored_server_does_not_know(tmp_path: Path):
    data, out = tmp_path / "farm", tmp_path / "a.zip"
    nubbin("init", "--data", data)
    with started("serve", "--data", data, "--port", "0") as (process, line):
        keeper = Keeper(*address(line))
        before, after = keeper.define("North"), keeper.define("South")
        assert keeper.push(before) == ["stored"]
        made = nubbin("backup", "--data", data, "--out", out)
        assert made.returncode == 0, made.stderr
        assert made.stdout.startswith(f"{len(log(data))} records and 0 photos are in {out}\n")
        assert keeper.push(after) == ["stored"]
        cursor = keeper.pull().json()["cursor"]
        refusal = nubbin("restore", out, "--data", data, "--replace")
        said(refusal, "Another Nubbin server already runs")
        process.send_signal(signal.SIGTERM)
        assert process.wait(30) == 0
    old = epoch(data)
    said(nubbin("restore", out, "--data", data), "holds a farm", "--replace")
    restored = nubbin("restore", out, "--data", data, "--replace")
    assert restored.returncode == 0, restored.stderr
    [aside] = data.glob("before-*")
    assert f"What was there before is kept in {aside}" in restored.stdout
    with started("serve", "--data", data, "--port", "0") as (_, line):
        keeper.moved_to(address(line)[0])
        gone = keeper.pull(cursor)
        assert (gone.status_code, gone.json()["code"]) == (410, "other-epoch")
        assert keeper.push(before, after) == ["duplicate", "stored"]
        assert keeper.pull().json()["epoch"] not in ("", old)


def test_restored_into_an_empty_place(tmp_path: Path):
    data, out = tmp_path / "farm", tmp_path / "a.zip"
    nubbin("init", "--data", data)
    nubbin("backup", "--data", data, "--out", out)
    ran = nubbin("restore", out, "--data", tmp_path / "new")
    assert ran.returncode == 0, ran.stderr
    assert "What was there before" not in ran.stdout
    assert log(tmp_path / "new") == log(data)
    assert nubbin("replay", "--data", tmp_path / "new").stdout.endswith(" 0 differences\n")


def test_new_epoch_by_command(tmp_path: Path):
    nubbin("init", "--data", tmp_path)
    old = epoch(tmp_path)
    ran = nubbin("new-epoch", "--data", tmp_path)
    assert (ran.returncode, epoch(tmp_path) != old) == (0, True), ran.stderr
    with started("serve", "--data", tmp_path, "--port", "0"):
        said(nubbin("new-epoch", "--data", tmp_path), "Another Nubbin server already runs")


def test_there_must_be_a_farm(tmp_path: Path):
    said(nubbin("backup", "--data", tmp_path, "--out", tmp_path / "a.zip"), "holds no farm")
    said(nubbin("new-epoch", "--data", tmp_path), "holds no farm")
    said(nubbin("restore", tmp_path / "a.zip", "--data", tmp_path), "There is no file")
    assert [path.name for path in tmp_path.iterdir() if path.name != "nubbin.lock"] == []


def test_postgresql_is_copied_by_its_own_tools(tmp_path: Path, cluster: Cluster):
    database = {"NUBBIN_DATABASE": cluster.new_database()}
    for command in (("backup", "--out", tmp_path / "a.zip"), ("restore", tmp_path / "a.zip")):
        said(nubbin(*command, "--data", tmp_path, **database), "pg_dump", "nubbin new-epoch")
    ran = nubbin("new-epoch", "--data", tmp_path, **database)
    assert ran.returncode == 0, ran.stderr


@pytest.mark.anyio
async def test_under_a_new_epoch_old_cursors_are_refused(db: Database):
    await begin(db)
    cursor = (await page(db, None, 100, NOW))["cursor"]
    old = db.epoch
    assert await new_epoch(db) == db.epoch != old
    with pytest.raises(OtherEpoch):
        await page(db, cursor, 100, NOW)
    assert (await page(db, None, 100, NOW))["epoch"] == db.epoch
    assert await db.rows("SELECT epoch FROM counter") == [{"epoch": db.epoch}]
