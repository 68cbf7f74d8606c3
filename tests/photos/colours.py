"""Colours worked out by hand: an ICC profile of any primaries, and what it means in sRGB.

IEC 61966-2-1 for sRGB; SMPTE EG 432-1 for the P3 primaries with a D65 white; ICC.1 for the
profile's form and its D50 white, reached by the Bradford transform (ICC.1, annex E).
"""

import struct

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
D65 = (0.3127, 0.3290)
D50 = np.array((0.9642, 1.0, 0.8249))
SRGB = ((0.64, 0.33), (0.30, 0.60), (0.15, 0.06))
P3 = ((0.680, 0.320), (0.265, 0.690), (0.150, 0.060))
BRADFORD = np.array(
    ((0.8951, 0.2664, -0.1614), (-0.7502, 1.7135, 0.0367), (0.0389, -0.0685, 1.0296))
)
GAMMA = 2.2


def to_d50(primaries: tuple[tuple[float, float], ...]) -> Floats:
    """The matrix from linear RGB to XYZ as seen under D50."""
    white = _xyz(*D65)
    columns = np.array([_xyz(x, y) for x, y in primaries]).T
    matrix = columns * np.linalg.solve(columns, white)
    cones = BRADFORD @ D50 / (BRADFORD @ white)
    return np.linalg.inv(BRADFORD) @ np.diag(cones) @ BRADFORD @ matrix


def in_srgb(colour: tuple[int, int, int], primaries: tuple[tuple[float, float], ...]) -> Floats:
    """The sRGB values, 0 to 255, of a colour given in those primaries with the plain gamma."""
    linear = (np.array(colour) / 255) ** GAMMA
    linear = np.linalg.inv(to_d50(SRGB)) @ to_d50(primaries) @ linear
    linear = np.clip(linear, 0, 1)
    curved = np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)
    return curved * 255


def profile(primaries: tuple[tuple[float, float], ...]) -> bytes:
    """A display profile of those primaries: three columns and one gamma (ICC.1:2001-04)."""
    matrix = to_d50(primaries)
    tags = {b"wtpt": _xyz_tag(D50), b"desc": b"desc" + bytes(4) + struct.pack(">I", 2) + b"P\0",
            b"cprt": b"text" + bytes(4) + b"none\0"}  # fmt: skip
    curve = b"curv" + bytes(4) + struct.pack(">IH", 1, round(GAMMA * 256))
    for index, name in enumerate(b"rgb"):
        tags[bytes((name,)) + b"XYZ"] = _xyz_tag(matrix[:, index])
        tags[bytes((name,)) + b"TRC"] = curve
    tags[b"desc"] += bytes(78)
    table, body, at = b"", b"", 128 + 4 + 12 * len(tags)
    for name, tag in tags.items():
        table += name + struct.pack(">II", at, len(tag))
        padded = tag + bytes(-len(tag) % 4)
        body, at = body + padded, at + len(padded)
    header = struct.pack(">I4sI4s4s4s", at, bytes(4), 0x02400000, b"mntr", b"RGB ", b"XYZ ")
    header += bytes(12) + b"acsp" + bytes(28) + _fixed(D50) + bytes(48)
    return header[:128] + struct.pack(">I", len(tags)) + table + body


def _xyz(x: float, y: float) -> Floats:
    return np.array((x / y, 1.0, (1 - x - y) / y))


def _xyz_tag(values: Floats) -> bytes:
    return b"XYZ " + bytes(4) + _fixed(values)


def _fixed(values: Floats) -> bytes:
    return struct.pack(">3i", *(round(value * 65536) for value in values))
