"""A photo whose last bytes come after its phone was signed out: what has come whole is kept."""

from pathlib import Path
from typing import Any

import pytest

from tests.access.slow import send_slowly
from tests.photos import pictures
from tests.photos.served import MEDIA, serve

PHOTO = pictures.noisy(600, 400)
OUT = {
    "signed out for good": "UPDATE device SET removed_at = 1",
    "signed out": "UPDATE session SET ended_at = 1",
}


@pytest.mark.parametrize("what", OUT)
def test_what_came_whole_is_kept(tmp_path: Path, what: str) -> None:
    with serve(tmp_path, tmp_path / "nubbin.sqlite") as served:
        name, client = served.name(PHOTO), served.client
        db: Any = client.app.state.db

        async def sign_out() -> None:
            async with db.write() as tx:
                await tx.many(OUT[what], [()])

        headers = {"content-type": MEDIA, "upload-offset": "0"}
        path = f"/api/photos/{name}"
        status, answer = send_slowly(client, "PATCH", path, PHOTO, sign_out, headers)
        assert (status, answer["state"]) == (200, "kept")
        assert client.get(f"{path}/state").status_code == 401
        assert not list((tmp_path / "photos" / "arriving").glob("*.part"))
