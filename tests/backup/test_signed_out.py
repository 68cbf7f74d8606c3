"""A backup lets nobody back in who was signed out since, and a failure half-way changes nothing."""

import asyncio
import errno
import json
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from api.access.links import add_staff, make_link, owner_of
from api.access.problems import LinkUsed
from api.access.sessions import claim, find_caller, open_session
from api.access.tables import Session
from api.backup.make import make_backup
from api.backup.put_back import PutBack, put_back
from api.cli import main
from api.database import Database
from api.records.clock import now_ms
from api.start_errors import NothingDone
from tests.backup.farm import files_in, log, make_farm, table, with_database
from tests.server.running import ROOT
from tests.sync.phone import NOW

DAY = 24 * 3600 * 1000


@pytest.fixture
def tokens(tmp_path: Path) -> dict[str, str]:
    """A farm with three phones, and its backup; then one person and one phone are signed out."""
    data = tmp_path / "farm"
    make_farm(data)

    async def pair(db: Database) -> dict[str, str]:
        people = {name: await add_staff(db, name, "lead") for name in ("Tove", "Ines", "Rui")}
        await owner_of(db)
        found = {}
        for name, staff in people.items():
            link = await make_link(db, staff, now=NOW)
            found[name] = (await claim(db, link, f"{name}'s phone", NOW))[0]
        return found

    made: dict[str, str] = with_database(data / "nubbin.sqlite", pair)
    make_backup(data, tmp_path / "a.zip")
    with closing(sqlite3.connect(data / "nubbin.sqlite")) as later:
        later.execute("UPDATE staff SET left_at = ? WHERE name = 'Tove'", (NOW + DAY,))
        later.execute("UPDATE device SET removed_at = ? WHERE name LIKE 'Ines%'", (NOW + DAY,))
        later.commit()
    return made


def back(tmp_path: Path) -> PutBack:
    return asyncio.run(put_back(tmp_path / "a.zip", tmp_path / "farm", replace=True))


def let_in(data: Path, tokens: dict[str, str]) -> list[str]:
    async def ask(db: Database) -> list[str]:
        return [name for name, token in tokens.items() if await find_caller(db, token, NOW + DAY)]

    found: list[str] = with_database(data / "nubbin.sqlite", ask)
    return found


def audit(data: Path) -> list[tuple[str, str]]:
    return table(data, "SELECT what, detail FROM audit WHERE who IS NULL ORDER BY id DESC LIMIT 3")


def test_who_was_signed_out_since_stays_out(tmp_path: Path, tokens: dict[str, str]):
    data = tmp_path / "farm"
    found = back(tmp_path)
    assert (found.still_out, let_in(data, tokens)) == (2, ["Rui"])
    assert table(data, "SELECT name, left_at FROM staff WHERE left_at > 0") == [("Tove", NOW + DAY)]
    [last, *before] = audit(data)
    assert (last[0], json.loads(last[1])) == (
        "put-back", {"made_at": found.manifest.made_at, "still_out": 2},
    )  # fmt: skip
    assert before == [("device-revoked", "{}"), ("person-revoked", "{}")]


@pytest.mark.parametrize("name", ["farm#1", "farm?x", "farm%41", "fa rm%", "Füllhorn"])
def test_whatever_the_folder_is_called(tmp_path: Path, tokens: dict[str, str], name: str):
    (tmp_path / "farm").rename(tmp_path / name)
    found = asyncio.run(put_back(tmp_path / "a.zip", tmp_path / name, replace=True))
    assert (found.still_out, let_in(tmp_path / name, tokens)) == (2, ["Rui"])


def test_a_shared_phone_is_held_by_nobody_and_a_used_link_stays_used(tmp_path: Path):
    data, found = tmp_path / "farm", {}
    make_farm(data)

    async def shared(db: Database) -> None:
        owner = await owner_of(db)
        found["link"] = await make_link(db, owner)
        async with db.write() as tx:
            found["phone"], caller = await open_session(tx, owner, "Tank room", NOW, shared=True)
            await Session.update({Session.holder: owner}).where(Session.device == caller.device)

    async def use(db: Database) -> None:
        await claim(db, found["link"], "Desk", now_ms())

    async def holder(db: Database) -> str | None:
        caller = await find_caller(db, found["phone"], NOW)
        assert caller is not None
        return caller.holder

    with_database(data / "nubbin.sqlite", shared)
    make_backup(data, tmp_path / "a.zip")
    with_database(data / "nubbin.sqlite", use)
    assert with_database(data / "nubbin.sqlite", holder) is not None
    assert back(tmp_path).has_owner
    assert with_database(data / "nubbin.sqlite", holder) is None
    with pytest.raises(LinkUsed):
        with_database(data / "nubbin.sqlite", use)


def test_a_copy_whose_only_owner_has_left_since_is_told_of(
    tmp_path: Path, tokens: dict[str, str], capsys: pytest.CaptureFixture[str]
):
    data = tmp_path / "farm"
    assert table(data, "SELECT COUNT(*) FROM staff WHERE role = 'owner'") == [(1,)], tokens
    with closing(sqlite3.connect(data / "nubbin.sqlite")) as later:
        later.execute("UPDATE staff SET left_at = 1 WHERE role = 'owner'")
        later.commit()
    file = str(tmp_path / "a.zip")
    assert main(["restore", file, "--data", str(data), "--replace"]) == 0
    assert "No owner is left in this copy. `nubbin link` makes one" in capsys.readouterr().out
    assert main(["link", "--data", str(data)]) == 0
    assert table(data, "SELECT COUNT(*) FROM staff WHERE role = 'owner' AND left_at IS NULL") == [
        (1,)
    ]


@pytest.mark.parametrize("spoilt", ["missing", "damaged"])
def test_where_that_cannot_be_read_it_is_said(tmp_path: Path, tokens: dict[str, str], spoilt: str):
    database = tmp_path / "farm" / "nubbin.sqlite"
    for end in ("-wal", "-shm"):
        database.with_name(database.name + end).unlink(missing_ok=True)
    if spoilt == "missing":
        database.unlink()
    else:
        database.write_bytes(b"no database" * 1000)
    found = back(tmp_path)
    assert (found.still_out, let_in(database.parent, tokens)) == (None, ["Tove", "Ines", "Rui"])
    assert '"still_out":null' in audit(database.parent)[0][1]


KILLED = """
import asyncio, os, sys
from pathlib import Path
from api.backup.put_back import put_back

rename, left = Path.rename, [int(sys.argv[3])]

def killed(self, target):
    left[0] -= 1
    if left[0] == -1:
        os._exit(9)
    return rename(self, target)

Path.rename = killed
asyncio.run(put_back(Path(sys.argv[1]), Path(sys.argv[2]), replace=True))
"""


@pytest.mark.parametrize("at", range(4))
def test_a_restore_killed_half_way_is_said_and_done_again(
    tmp_path: Path, tokens: dict[str, str], capsys: pytest.CaptureFixture[str], at: int
):
    """Killed before each of its four moves. Only before the first is the farm's database there."""
    data, file = tmp_path / "farm", str(tmp_path / "a.zip")
    before = log(data)
    command = [sys.executable, "-c", KILLED, file, str(data), str(at)]
    ran = subprocess.run(command, cwd=ROOT, check=False)
    assert (ran.returncode, len(list(data.glob("restoring-*")))) == (9, 1), tokens
    there = (data / "nubbin.sqlite").exists()
    assert there == (at == 0)
    for command in (["link"], ["init"]):
        assert main([*command, "--data", str(data)]) == (0 if there else 2)
    assert there or "that was cut off. Nothing is lost" in capsys.readouterr().err
    assert main(["restore", file, "--data", str(data), "--replace"]) == 0
    assert (log(data), list(data.glob("restoring-*"))) == (before, [])


@pytest.mark.parametrize("failing", range(4))
def test_a_move_that_fails_half_way_is_undone(
    tmp_path: Path, tokens: dict[str, str], monkeypatch: pytest.MonkeyPatch, failing: int
):
    """Database and photos out, photos and database in: each of the four fails once."""
    data = tmp_path / "farm"
    before = (log(data), files_in(data), let_in(data, tokens))
    rename, left = Path.rename, [failing]

    def fail_once(self: Path, target: Path) -> Path:
        left[0] -= 1
        if left[0] == -1:
            raise OSError(errno.EIO, "Input/output error")
        return rename(self, target)

    with monkeypatch.context() as patched:
        patched.setattr(Path, "rename", fail_once)
        with pytest.raises(NothingDone, match="there as before"):
            back(tmp_path)
    assert (log(data), files_in(data), let_in(data, tokens)) == before
    assert not list(data.glob("restoring-*"))
