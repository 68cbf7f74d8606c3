"""The invented farm's pictures: kept as phones' photos are, the same each time, and growing."""

import io
from collections import defaultdict
from collections.abc import AsyncIterator
from datetime import date
from pathlib import Path
from typing import Any

import msgspec
import numpy as np
import pytest
from PIL import Image

from api.database import Database, open_database
from api.demo.farm import build
from api.demo.pictures import WATER
from api.photos import giving
from api.photos.local_store import LocalStore
from tests.photos.farm import sha256
from tests.photos.segments import is_bare

pytestmark = pytest.mark.anyio
TODAY = date(2026, 11, 25)


def covered(jpeg: bytes) -> float:
    """The share of the picture that is neither water nor the base's grey: by its saturation."""
    with Image.open(io.BytesIO(jpeg)) as image:
        assert image.size == (480, 360)
        pixels = np.asarray(image).astype(int)
    strong = pixels.max(axis=2) - pixels.min(axis=2) > 45
    water = np.abs(pixels - WATER).max(axis=2) < 20
    return float((strong & ~water).mean())


@pytest.fixture
async def db(tmp_path: Path) -> AsyncIterator[Database]:
    """A farm is built on one kind of database; the other's difference is tested elsewhere."""
    opened = await open_database(tmp_path / "nubbin.sqlite")
    yield opened
    await opened.close()


async def test_every_picture_that_a_record_names_is_there_and_shows_growth(
    db: Database, tmp_path: Path
) -> None:
    store = LocalStore(tmp_path / "kept")
    facts = await build(db, TODAY, store=store)
    assert facts.answers == {"stored": facts.records}
    rows = await db.rows("SELECT record FROM log WHERE kind = 'photo' ORDER BY at")
    records = [msgspec.json.decode(row["record"]) for row in rows]
    assert 20 <= len(records) <= 30
    by_piece: dict[str, list[dict[str, Any]]] = defaultdict(list)
    for record in records:
        by_piece[record["subject"]["id"]].append(record)
    for taken in by_piece.values():
        assert [record["body"].get("day0", False) for record in taken] == [True, False, False]
        shares = []
        for record in taken:
            name = record["body"]["sha256"]
            full = await giving.picture(store, name, "full")
            assert await giving.kept_hash(db, store, name) == sha256(full)
            assert is_bare(full)
            assert is_bare(await giving.picture(store, name, "small"))
            shares.append(covered(full))
        assert shares[0] < shares[1] <= shares[2]
        assert shares[2] > 1.3 * shares[0]
    files = [path for path in (tmp_path / "kept").rglob("*.jpg")]
    assert len(files) == 2 * len(records)
    assert sum(path.stat().st_size for path in files) < 2_000_000
    # The records name what the phone had, not what was made again from it.
    [one] = await db.rows("SELECT * FROM photo WHERE sha256 = ?", records[0]["body"]["sha256"])
    assert (one["state"], one["bytes"]) == ("kept", records[0]["body"]["bytes"])
