"""A JPEG taken apart by its markers (ITU-T T.81, annex B), without the library that made it."""

from typing import NamedTuple

SOI, EOI, SOS, COM = 0xD8, 0xD9, 0xDA, 0xFE
STANDALONE = {0x01, *range(0xD0, 0xD8)}


class Segment(NamedTuple):
    marker: int
    body: bytes


def segments(jpeg: bytes) -> tuple[list[Segment], bytes]:
    """Every segment up to the end of the image, and whatever lies behind it."""
    assert jpeg[:2] == bytes((0xFF, SOI))
    found, at = [Segment(SOI, b"")], 2
    while True:
        assert jpeg[at] == 0xFF, f"a marker was due at {at}"
        while jpeg[at] == 0xFF:
            at += 1
        marker = jpeg[at]
        at += 1
        if marker == EOI:
            return [*found, Segment(EOI, b"")], jpeg[at:]
        length = int.from_bytes(jpeg[at : at + 2], "big")
        found.append(Segment(marker, jpeg[at + 2 : at + length]))
        at += length
        if marker == SOS:
            at = _after_scan(jpeg, at)


def _after_scan(jpeg: bytes, at: int) -> int:
    """Where the entropy-coded data ends: at a marker that is neither a stuffed 0 nor a restart."""
    while True:
        at = jpeg.index(0xFF, at)
        if jpeg[at + 1] != 0 and jpeg[at + 1] not in STANDALONE:
            return at
        at += 2


def is_bare(jpeg: bytes) -> bool:
    """Whether there is nothing but the picture: tables, frame, scans, and JFIF's own header."""
    found, behind = segments(jpeg)
    picture = {SOI, EOI, SOS, 0xDB, 0xC0, 0xC2, 0xC4, 0xDD}
    for segment in found:
        if segment.marker == 0xE0:
            # JFIF 1.02: name, version, density, and a thumbnail of 0 x 0.
            assert segment.body[:5] == b"JFIF\0"
            assert (len(segment.body), segment.body[12:]) == (14, b"\0\0")
        elif segment.marker not in picture:
            return False
    return behind == b""
