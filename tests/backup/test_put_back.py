"""A backup is put back whole or not at all, and what was there is kept."""

import asyncio
import random
import sqlite3
from contextlib import closing
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest

from api.backup import put_back as module
from api.backup.make import make_backup
from api.backup.put_back import put_back
from api.start_errors import BadBackup, NothingDone
from tests.backup.farm import (
    PHOTOS,
    epoch,
    files_in,
    log,
    make_farm,
    put_together,
    signed_again,
    table,
    taken_apart,
)


@pytest.fixture(scope="module")
def farm(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("made") / "farm"
    make_farm(made)
    return made


@pytest.fixture(scope="module")
def archive(farm: Path) -> Path:
    make_backup(farm, farm.parent / "a.zip")
    return farm.parent / "a.zip"


@pytest.fixture
def data(tmp_path: Path) -> Path:
    (tmp_path / "data").mkdir()
    (tmp_path / "data" / "nubbin.toml").write_text("port = 8100\n")
    return tmp_path / "data"


def back(file: Path, data: Path, *, replace: bool = False) -> Any:
    return asyncio.run(put_back(file, data, replace=replace))


def test_everything_comes_back_under_a_new_epoch(farm: Path, archive: Path, data: Path):
    found = back(archive, data)
    assert (log(data), found.aside, found.still_out) == (log(farm), None, None)
    for name in ("piece", "cut", "item", "staff", "claim"):
        assert table(data, f"SELECT * FROM {name}") == table(farm, f"SELECT * FROM {name}")
    assert files_in(data) == PHOTOS | {"nubbin.toml": b"port = 8100\n"}
    assert found.manifest.epoch == epoch(farm)
    assert epoch(data) != epoch(farm)
    assert len(epoch(data)) == 32


def test_each_time_it_is_another_epoch(archive: Path, tmp_path: Path):
    epochs = set()
    for name in ("one", "two"):
        (tmp_path / name).mkdir()
        back(archive, tmp_path / name)
        epochs.add(epoch(tmp_path / name))
    assert len(epochs) == 2


def test_a_farm_is_not_written_over(archive: Path, data: Path):
    make_farm(data, 1)
    before, kept = log(data), files_in(data)
    with pytest.raises(NothingDone, match=r"holds a farm\. Nothing was put back"):
        back(archive, data)
    assert (log(data), files_in(data)) == (before, kept)


def test_replaced_the_earlier_farm_is_kept_aside_with_its_journal(
    farm: Path, archive: Path, data: Path
):
    make_farm(data, 1)
    before = log(data)
    (data / "https").mkdir()
    (data / "https" / "authority.pem").write_text("the farm's own")
    with closing(sqlite3.connect(data / "nubbin.sqlite")) as connection:
        # A crash leaves a journal that holds the last writes.
        connection.execute(
            "INSERT INTO staff (id, name, role, made_at) VALUES ('staff.z', 'Z', 'keeper', 1)"
        )
        connection.commit()
        aside = back(archive, data, replace=True).aside
    assert aside is not None
    assert log(data) == log(farm)
    assert log(aside) == before
    assert table(aside, "SELECT name FROM staff WHERE name = 'Z'") == [("Z",)]
    assert files_in(data)["https/authority.pem"] == b"the farm's own"
    assert not list(data.glob("nubbin.sqlite-*"))


def refused(file: Path, data: Path, words: str) -> None:
    """It is refused with these words, and the folder is as it was."""
    before = files_in(data)
    with pytest.raises((BadBackup, NothingDone), match=words):
        back(file, data)
    assert files_in(data) == before
    assert list(data.iterdir()) == [data / "nubbin.toml"]


@pytest.mark.parametrize(
    ("case", "words"),
    [("missing", "There is no file"), ("no zip", "is no whole backup"), ("cut", "is no whole"),
     ("another zip", "it has no manifest.json"), ("manifest", "manifest cannot be read"),
     ("no database", "is no whole backup"), ("newer", "made by a newer Nubbin"),
     ("newer form", "which is newer than this one")],
)  # fmt: skip
def test_what_is_no_backup(archive: Path, data: Path, tmp_path: Path, case: str, words: str):
    file = tmp_path / "b.zip"
    members = taken_apart(archive)
    if case == "no zip":
        file.write_bytes(b"no zip")
    if case == "cut":
        file.write_bytes(archive.read_bytes()[:-500])
    if case == "another zip":
        put_together(file, {"readme.txt": b""})
    if case == "manifest":
        put_together(file, members | {"manifest.json": b'{"nubbin": "backup"}'})
    if case == "no database":
        put_together(file, {n: c for n, c in members.items() if n != "nubbin.sqlite"})
    if case == "newer":
        put_together(file, signed_again(members, v=2))
    if case == "newer form":
        put_together(file, signed_again(members, migrations=["2999-01-01T00:00:00:000000"]))
    refused(file, data, words)


@pytest.mark.parametrize(
    "name", ["photos/../../out.jpg", "/etc/out.jpg", "photos/..", "photos\\out.jpg", "nubbin.toml",
             "photos//out.jpg", "photos/.hidden", "photos"],
)  # fmt: skip
def test_nothing_is_written_outside_the_photos(
    archive: Path, data: Path, tmp_path: Path, name: str
):
    photo = {"name": name, "sha256": "0" * 64, "bytes": 1}
    members = signed_again(taken_apart(archive), photos=[photo]) | {name: b"x"}
    refused(put_together(tmp_path / "b.zip", members), data, "belongs in no backup")
    assert not list(tmp_path.rglob("out.jpg"))


def test_a_changed_photo_or_database_is_told_by_its_hash(archive: Path, data: Path, tmp_path: Path):
    for name in ("photos/ab/abcd.jpg", "nubbin.sqlite"):
        members = taken_apart(archive)
        changed = bytearray(members[name])
        changed[len(changed) // 2] ^= 1
        file = put_together(tmp_path / "b.zip", members | {name: bytes(changed)})
        refused(file, data, f"{name} in the backup is not what was put in")
        file = put_together(tmp_path / "c.zip", members | {name: members[name] + b"more"})
        refused(file, data, f"{name} in the backup is not what was put in")


def test_a_flipped_bit_anywhere_is_refused_or_harmless(farm: Path, archive: Path, tmp_path: Path):
    """Some bits of a zip file mean nothing here, such as a time: then all must come back."""
    content, draw = archive.read_bytes(), random.Random(11)
    outcomes = []
    for turn in range(24):
        changed = bytearray(content)
        changed[draw.randrange(len(content))] ^= 1 << draw.randrange(8)
        (tmp_path / "b.zip").write_bytes(changed)
        target = tmp_path / str(turn)
        target.mkdir()
        try:
            back(tmp_path / "b.zip", target)
        except (BadBackup, NothingDone):
            assert list(target.iterdir()) == []
            outcomes.append("refused")
        else:
            assert (log(target), files_in(target)) == (log(farm), PHOTOS)
            outcomes.append("whole")
    assert outcomes.count("refused") > 12


def spoilt(archive: Path, folder: Path, *statements: str) -> dict[str, bytes]:
    """A backup whose database was changed, with the right hash for what it now is."""
    members = taken_apart(archive)
    file = folder / "spoilt.sqlite"
    file.write_bytes(members["nubbin.sqlite"])
    with closing(sqlite3.connect(file)) as connection:
        for statement in statements:
            connection.execute(statement)
        connection.commit()
    return signed_again(members | {"nubbin.sqlite": file.read_bytes()})


def test_rows_that_are_not_there_are_counted(archive: Path, data: Path, tmp_path: Path):
    members = spoilt(archive, tmp_path, "DELETE FROM log WHERE kind = 'glue'")
    words = "has 6 rows in log, and 9 were counted"
    refused(put_together(tmp_path / "b.zip", members), data, words)


def test_rows_that_name_nothing_are_found(archive: Path, data: Path, tmp_path: Path):
    statement = "INSERT INTO link (digest, staff, made_at, expires_at) VALUES ('d', 'no', 1, 2)"
    members = spoilt(archive, tmp_path, statement)
    refused(put_together(tmp_path / "b.zip", members), data, "names one of staff that is not there")


def test_broken_pages_are_found(archive: Path, data: Path, tmp_path: Path):
    members = taken_apart(archive)
    broken = bytearray(members["nubbin.sqlite"])
    broken[4096 * 3 : 4096 * 5] = bytes(4096 * 2)
    members = signed_again(members | {"nubbin.sqlite": bytes(broken)})
    refused(put_together(tmp_path / "b.zip", members), data, "database in the backup is damaged")


def test_a_server_that_would_not_start_on_it_is_found(
    archive: Path, data: Path, monkeypatch: pytest.MonkeyPatch
):
    async def silent(_app: object) -> dict[str, Any]:
        return {}

    monkeypatch.setattr(module, "health", silent)
    refused(archive, data, "did not answer as it should")


def test_an_older_form_is_brought_up_to_date(farm: Path, data: Path, tmp_path: Path):
    """A farm of the first version, as its one migration made it."""
    older = tmp_path / "older"
    older.mkdir()
    first = import_module("api.migrations.nubbin_2026_11_25t09_00_00_000000")
    [(made,)] = table(farm, "SELECT sql FROM sqlite_master WHERE name = 'migration'")
    [ran] = table(farm, f"SELECT * FROM migration WHERE name = '{first.ID}'")
    with closing(sqlite3.connect(older / "nubbin.sqlite")) as connection:
        connection.executescript(f"{first.LOG}{first.STOCK}{first.PEOPLE}{made};")
        connection.execute(f"INSERT INTO migration VALUES ({','.join('?' * len(ran))})", ran)
        connection.execute("INSERT INTO counter VALUES (1, 7, 'old')")
        connection.execute(
            "INSERT INTO staff (id, name, role, made_at) VALUES ('staff.z', 'Z', 'owner', 1)"
        )
        connection.commit()
    make_backup(older, tmp_path / "b.zip")
    back(tmp_path / "b.zip", data)
    names = "SELECT name FROM migration ORDER BY name"
    assert len(table(older, names)) == 1 < len(table(farm, names))
    assert table(data, names) == table(farm, names)
    assert table(data, "SELECT id, role FROM staff") == [("staff.z", "owner")]
    assert table(data, "SELECT seq FROM counter") == [(7,)]
