"""The fake camera's pictures show what the browser tests rely on."""

from pathlib import Path

import pytest
from PIL import Image

from tests.labels import reading
from tests.labels.camera import HOST, write_camera

SIZES = [(1280, 720), (640, 480)]


def seen(path: Path) -> list[str]:
    return [found.text for found in reading.decode(Image.open(path))]


@pytest.mark.parametrize("size", SIZES)
def test_a_label_an_empty_tank_and_another_symbol(tmp_path: Path, size: tuple[int, int]) -> None:
    path = tmp_path / "camera.mjpeg"
    views = []
    for code, text in (("4JQZKDMN", None), (None, None), (None, "https://shop.example/item/7")):
        write_camera(path, code, text=text, size=size)
        views.append(seen(path))
        assert Image.open(path).size == size
    assert views == [[f"HTTPS://{HOST}/Q/4JQZKDMN"], [], ["https://shop.example/item/7"]]
    assert list(tmp_path.iterdir()) == [path]


def test_another_host_is_in_the_address(tmp_path: Path) -> None:
    write_camera(tmp_path / "camera.mjpeg", "4JQZKDMN", "old.farm.example")
    assert seen(tmp_path / "camera.mjpeg") == ["HTTPS://OLD.FARM.EXAMPLE/Q/4JQZKDMN"]
