"""From a camera frame to a code: the app's own reading against the bare decoder, in one run."""

import json
import subprocess
import tempfile
from pathlib import Path

from PIL import Image

from labels import check_character
from tests.app.node import NODE, PWA, install
from tests.bench.measure import Measure
from tests.labels.camera import write_camera

ROUNDS = 200
CODE = "4JQZKDM" + check_character("4JQZKDM")


def measures() -> list[Measure]:
    """The ratio of the medians at 1280 x 720, and the bare decoder's time for the record."""
    install()
    with tempfile.TemporaryDirectory() as folder:
        film, raw = Path(folder) / "frame.mjpeg", Path(folder) / "frame.rgba"
        write_camera(film, CODE)
        picture = Image.open(film).convert("RGBA")
        raw.write_bytes(picture.tobytes())
        script = str(Path(__file__).with_name("scan_bench.mjs"))
        size = [str(picture.width), str(picture.height)]
        ran = subprocess.run(
            [str(NODE), script, str(PWA), str(raw), *size, str(ROUNDS)],
            capture_output=True, text=True, check=True,
        )  # fmt: skip
    told = json.loads(ran.stdout)
    assert told["code"] == CODE, f"read {told['code']}, shown {CODE}"
    return [
        Measure("frame to code / bare decoder", told["ours"] / told["bare"], 1.2, "x", "lower"),
        Measure("bare decoder, 1280x720", told["bare"], None, "ms", "lower"),
    ]
