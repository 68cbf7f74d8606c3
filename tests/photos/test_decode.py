"""Pictures made again: what they show is kept, what a camera adds is not, and the rest refused."""

import io

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from api.photos.decode import MAX_PIXELS, Picture, Refusal, decode
from tests.photos import colours, pictures
from tests.photos.pictures import SECRET, encode, laden, quarters
from tests.photos.segments import COM, is_bare, segments

pytestmark = pytest.mark.filterwarnings("ignore:.*:UserWarning:PIL")
FORMS = ("JPEG", "PNG", "WEBP")
PROFILE = colours.profile(colours.P3)


def made(content: bytes) -> Picture:
    found = decode(content)
    assert isinstance(found, Picture), found
    return found


def pixels(jpeg: bytes) -> np.ndarray:
    with Image.open(io.BytesIO(jpeg)) as image:
        assert (image.format, image.mode) == ("JPEG", "RGB")
        return np.asarray(image).astype(int)


@pytest.mark.parametrize("form", FORMS)
def test_a_picture_is_made_again_in_two_sizes(form: str):
    content = encode(quarters(3000, 1800), form)
    found = made(content)
    assert (found.media, found.received) == (f"image/{form.lower()}", len(content))
    assert (found.width, found.height) == (2048, 1229)
    assert pixels(found.full).shape == (1229, 2048, 3)
    assert pixels(found.small).shape == (192, 320, 3)
    for jpeg in (found.full, found.small):
        seen, (height, width, _) = pixels(jpeg), pixels(jpeg).shape
        corners = seen[[9, 9, height - 9, height - 9], [9, width - 9, 9, width - 9]]
        assert np.abs(corners - [[255, 0, 0], [0, 255, 0], [0, 0, 255], [255] * 3]).max() < 12


def test_a_small_picture_is_not_enlarged():
    found = made(pictures.plain(64, 48))
    assert (found.width, found.height) == (64, 48)
    assert pixels(found.small).shape == (48, 64, 3)


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("profile", [PROFILE, b""], ids=["profile", "no profile"])
def test_nothing_of_what_a_camera_adds_is_left(form: str, profile: bytes):
    content = laden(form, quarters(), profile)
    assert content.count(SECRET) >= (2 if form == "WEBP" else 3), "the test file is laden"
    if form == "JPEG":
        present = {segment.marker for segment in segments(content)[0]}
        assert {0xE1, 0xED, COM} <= present
        assert (0xE2 in present) == bool(profile)
    found = made(content)
    for jpeg in (found.full, found.small):
        assert is_bare(jpeg)
        assert SECRET not in jpeg


def test_the_parser_sees_what_is_left():
    assert is_bare(pictures.plain())
    assert not is_bare(pictures.plain() + b"x")
    assert not is_bare(encode(quarters(), "JPEG", comment=b"x"))
    assert not is_bare(encode(quarters(), "JPEG", exif=pictures.exif()))
    assert not is_bare(encode(quarters(), "JPEG", icc_profile=PROFILE))


TURNS = {
    1: lambda a: a,
    2: lambda a: a[:, ::-1],
    3: lambda a: a[::-1, ::-1],
    4: lambda a: a[::-1],
    5: lambda a: a.transpose(1, 0, 2),
    6: lambda a: a.transpose(1, 0, 2)[:, ::-1],
    7: lambda a: a.transpose(1, 0, 2)[::-1, ::-1],
    8: lambda a: a.transpose(1, 0, 2)[::-1],
}
"""Each orientation as rows and columns of EXIF 2.3 say it, turned by numpy instead."""


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("orientation", TURNS)
def test_a_picture_stands_upright(form: str, orientation: int):
    found = made(laden(form, quarters(), b"", orientation))
    wanted = TURNS[orientation](np.asarray(quarters()).astype(int))
    assert pixels(found.full).shape == wanted.shape
    assert np.abs(pixels(found.full) - wanted).mean() < 6


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("colour", [(230, 40, 30), (30, 200, 60), (120, 120, 120), (20, 60, 210)])
def test_colours_are_those_of_the_embedded_profile(form: str, colour: tuple[int, int, int]):
    content = laden(form, Image.new("RGB", (32, 32), colour), PROFILE)
    seen = pixels(made(content).full).reshape(-1, 3).mean(axis=0)
    wanted = colours.in_srgb(colour, colours.P3)
    assert np.abs(seen - wanted).max() < 4
    if colour[0] != colour[1]:
        assert np.abs(wanted - colour).max() > 10, "the profile matters for this colour"


def test_a_broken_profile_costs_the_picture_nothing():
    content = laden("PNG", Image.new("RGB", (32, 32), (200, 60, 40)), PROFILE[:200])
    seen = pixels(made(content).full).reshape(-1, 3).mean(axis=0)
    assert np.abs(seen - (200, 60, 40)).max() < 4


def test_broken_camera_notes_cost_the_picture_nothing():
    content = encode(quarters(), "JPEG", exif=b"Exif\0\0MM\0*\0\0\0\x08\xff\xff" + bytes(40))
    assert made(content).width == 80


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "RGBA", "CMYK", "I;16"])
def test_every_kind_of_pixel_is_shown_as_meant(mode: str):
    grey = Image.new("L", (40, 30), 128)
    image = {"I;16": lambda: Image.fromarray(np.full((30, 40), 128 * 257, np.uint16))}.get(
        mode, lambda: grey.convert("RGB").convert(mode)
    )()
    seen = pixels(made(encode(image, "JPEG" if mode == "CMYK" else "PNG")).full)
    assert abs(seen.mean() - 128) < 3


@pytest.mark.parametrize("form", ["PNG", "WEBP"])
def test_what_is_clear_is_shown_on_white(form: str):
    image = Image.new("RGBA", (40, 40), (0, 0, 0, 0))
    image.paste((0, 200, 0, 255), (0, 0, 20, 40))
    seen = pixels(made(encode(image, form, lossless=True)).full)
    assert np.abs(seen[20, 5] - (0, 200, 0)).max() < 12
    assert np.abs(seen[20, 35] - 255).max() < 12


def test_the_first_of_a_phones_several_pictures_is_taken():
    frames = [Image.new("RGB", (64, 48), colour) for colour in ((250, 0, 0), (0, 0, 250))]
    content = encode(frames[0], "MPO", save_all=True, append_images=frames[1:])
    found = made(content)
    assert found.media == "image/jpeg"
    assert np.abs(pixels(found.full)[20, 20] - (250, 0, 0)).max() < 12
    assert is_bare(found.full)


BOMBS = {
    "PNG": pictures.png(20_000, 10_000),
    "JPEG": pictures.stretched(20_000, 10_000),
    "WebP": pictures.webp(16_384, 16_384),
    "just over": pictures.png(MAX_PIXELS // 1000 + 1, 1000),
}


@pytest.mark.parametrize("name", BOMBS)
def test_a_bomb_is_refused_by_its_header_alone(name: str):
    """Their content is broken: had anything been decoded, that would have been the answer."""
    assert decode(BOMBS[name]) == Refusal("too-many-pixels")


def test_the_largest_that_is_allowed_is_read():
    found = made(encode(Image.new("L", (MAX_PIXELS // 1000, 1000), 90), "PNG"))
    assert (found.width, found.height) == (2048, 41)


BROKEN = "Its content is broken or cut short."
NEITHER = "It is neither JPEG, PNG nor WebP."
MOVES = "It moves: only a still picture can be a photo."
BAD = {
    "nothing": (b"", NEITHER),
    "text": (b"This is a note, named coral.jpg.\n" * 50, NEITHER),
    "a page": (b"<html><img src=x></html>", NEITHER),
    "a GIF": (encode(quarters(), "GIF"), NEITHER),
    "a TIFF": (encode(quarters(), "TIFF"), NEITHER),
    "a BMP": (encode(quarters(), "BMP"), NEITHER),
    "a PNG of a picture that is not there": (pictures.png(30, 30), BROKEN),
    "half a JPEG": (pictures.noisy(300, 200)[:20_000], BROKEN),
    "half a PNG": (encode(Image.effect_noise((200, 200), 50), "PNG")[:9000], BROKEN),
    "half a WebP": (encode(Image.effect_noise((200, 200), 50), "WEBP")[:4000], BROKEN),
    "a moving WebP": (pictures.moving("WEBP"), MOVES),
    "a moving PNG": (pictures.moving("PNG"), MOVES),
}


@pytest.mark.parametrize("name", BAD)
def test_what_is_no_photo_is_refused_with_a_sentence(name: str):
    content, why = BAD[name]
    assert decode(content) == Refusal("not-a-photo", why)


SMALL = [laden(form, quarters(), PROFILE) for form in FORMS]


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    st.sampled_from(SMALL),
    st.lists(st.tuples(st.integers(0, 2000), st.integers(0, 255)), min_size=1, max_size=12),
    st.integers(1, 4000),
)
def test_damage_of_any_kind_ends_in_a_picture_or_a_refusal(content, changes, length):
    spoiled = bytearray(content[:length] if length % 3 == 0 else content)
    for at, value in changes:
        spoiled[at % len(spoiled)] = value
    found = decode(bytes(spoiled))
    if isinstance(found, Picture):
        assert is_bare(found.full)
        assert is_bare(found.small)
    else:
        assert found.code in ("not-a-photo", "too-many-pixels")
