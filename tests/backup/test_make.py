"""A backup is whole, sound and private, also while the farm is written to."""

import hashlib
import sqlite3
import stat
import threading
from contextlib import closing
from pathlib import Path

import pytest

from api.backup.make import make_backup
from api.start_errors import BadBackup, NothingDone
from tests.backup.farm import PHOTOS, epoch, files_in, make_farm, manifest_of, table, taken_apart


@pytest.fixture
def data(tmp_path: Path) -> Path:
    make_farm(tmp_path / "farm")
    return tmp_path / "farm"


def test_what_is_in_it(data: Path, tmp_path: Path):
    out = tmp_path / "a.zip"
    made = make_backup(data, out)
    members = taken_apart(out)
    manifest = manifest_of(members)
    assert set(members) == {"nubbin.sqlite", "manifest.json", *PHOTOS}
    assert {name: members[name] for name in PHOTOS} == PHOTOS
    assert manifest["epoch"] == epoch(data) == made.epoch
    assert manifest["rows"]["log"] == len(table(data, "SELECT id FROM log")) == 9
    assert manifest["migrations"] == [row[0] for row in table(data, "SELECT name FROM migration")]
    listed = [manifest["database"], *manifest["photos"]]
    assert {one["name"]: one["sha256"] for one in listed} == {
        name: hashlib.sha256(content).hexdigest()
        for name, content in members.items()
        if name != "manifest.json"
    }
    assert {one["name"]: one["bytes"] for one in listed} == {
        name: len(members[name]) for name in ("nubbin.sqlite", *PHOTOS)
    }
    assert stat.S_IMODE(out.stat().st_mode) == 0o600
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a.zip", "farm"]


def test_while_the_farm_is_written_to(data: Path, tmp_path: Path):
    """Each transaction writes to two tables: a copy that caught one without the other is torn."""
    began, over = threading.Event(), threading.Event()

    def write() -> None:
        with closing(sqlite3.connect(data / "nubbin.sqlite", timeout=30)) as connection:
            connection.execute("CREATE TABLE one (n INTEGER)")
            connection.execute("CREATE TABLE other (n INTEGER)")
            n = 0
            while not over.is_set():
                with connection:
                    connection.execute("INSERT INTO one VALUES (?)", (n,))
                    connection.execute("INSERT INTO other VALUES (?)", (n,))
                n += 1
                began.set()

    writer = threading.Thread(target=write)
    writer.start()
    try:
        assert began.wait(30)
        made = [make_backup(data, tmp_path / f"{turn}.zip") for turn in range(3)]
    finally:
        over.set()
        writer.join()
    counts = [(one.rows["one"], one.rows["other"]) for one in made]
    assert [first == second for first, second in counts] == [True] * 3
    assert counts[0][0] > 0
    assert sorted(counts) == counts
    [(last,)] = table(data, "SELECT COUNT(*) FROM one")
    assert last >= counts[-1][0]


def test_links_out_of_the_folder_are_not_followed(data: Path, tmp_path: Path):
    (tmp_path / "secret").write_text("not the farm's")
    (data / "photos" / "link.jpg").symlink_to(tmp_path / "secret")
    make_backup(data, tmp_path / "a.zip")
    assert "photos/link.jpg" not in taken_apart(tmp_path / "a.zip")


def test_nothing_is_written_over(data: Path, tmp_path: Path):
    (tmp_path / "a.zip").write_bytes(b"an older backup")
    with pytest.raises(NothingDone, match="exists already"):
        make_backup(data, tmp_path / "a.zip")
    assert (tmp_path / "a.zip").read_bytes() == b"an older backup"


def test_a_place_that_cannot_be_written(data: Path, tmp_path: Path):
    with pytest.raises(NothingDone, match=r"could not be written to .*: No such file"):
        make_backup(data, tmp_path / "none" / "a.zip")


def test_a_damaged_database_is_not_passed_off_as_a_backup(data: Path, tmp_path: Path):
    file = data / "nubbin.sqlite"
    content = bytearray(file.read_bytes())
    content[4096 * 3 : 4096 * 6] = bytes(4096 * 3)
    file.write_bytes(content)
    before = files_in(data)
    with pytest.raises(BadBackup, match=r"is damaged .* so no backup was made"):
        make_backup(data, tmp_path / "a.zip")
    assert (files_in(data), sorted(p.name for p in tmp_path.iterdir())) == (before, ["farm"])


def test_a_row_that_names_nothing_is_damage_too(data: Path, tmp_path: Path):
    with closing(sqlite3.connect(data / "nubbin.sqlite")) as connection:
        connection.execute(
            "INSERT INTO link (digest, staff, made_at, expires_at) VALUES ('d', 'nobody', 1, 2)"
        )
        connection.commit()
    with pytest.raises(BadBackup, match="a row of link names one of staff that is not there"):
        make_backup(data, tmp_path / "a.zip")
