"""Draw the app's icons: a base with tissue and an open mouth. Run by hand, files committed."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path

from PIL import Image, ImageDraw

PUBLIC = Path(__file__).parent / "public"
PAPER, INK, ALIVE = "#f6f1e6", "#1d2426", "#c9502a"
OVERSAMPLING = 8

# Radii in the glyph's square of 100 units: base, tissue, and the ring's two edges.
BASE, LINE, TISSUE, OUTER, INNER = 43.0, 7.0, 31.0, 14.0, 8.0


@dataclass(frozen=True)
class Icon:
    """One PNG: its file, side in pixels, the drawing's share of the side, and its corner."""

    name: str
    side: int
    share: float
    corner: float


ICONS = (
    Icon("icon-192.png", 192, 0.86, 0.2),
    Icon("icon-512.png", 512, 0.86, 0.2),
    # A mask may take everything outside the middle 80 %, so the ground runs to the edge.
    Icon("icon-maskable-512.png", 512, 0.66, 0.0),
    Icon("apple-touch-icon.png", 180, 0.74, 0.0),
)


def hexagon(radius: float) -> list[tuple[float, float]]:
    """Corners of a regular hexagon about (50, 50), one of them straight up."""
    turns = (math.radians(60 * step - 90) for step in range(6))
    return [(50 + radius * math.cos(turn), 50 + radius * math.sin(turn)) for turn in turns]


def draw(icon: Icon) -> Image.Image:
    """The icon, drawn eight times too large and brought down."""
    side = icon.side * OVERSAMPLING
    image = Image.new("RGBA", (side, side), (0, 0, 0, 0))
    pen = ImageDraw.Draw(image)
    pen.rounded_rectangle((0, 0, side - 1, side - 1), side * icon.corner, fill=PAPER)
    unit = side * icon.share / 100
    start = side * (1 - icon.share) / 2

    def place(points: list[tuple[float, float]]) -> list[tuple[float, float]]:
        return [(start + x * unit, start + y * unit) for x, y in points]

    def disc(radius: float, colour: str) -> None:
        pen.ellipse([*place([(50 - radius,) * 2])[0], *place([(50 + radius,) * 2])[0]], fill=colour)

    corners = hexagon(BASE)
    outline = place([*corners, corners[0], corners[1]])
    pen.line(outline, fill=INK, width=round(LINE * unit), joint="curve")
    pen.polygon(place(hexagon(TISSUE)), fill=ALIVE)
    disc(OUTER, PAPER)
    disc(INNER, ALIVE)
    return image.resize((icon.side, icon.side), Image.Resampling.LANCZOS)


def svg() -> str:
    """The same drawing as SVG text, one shape a line."""

    def path(radius: float) -> str:
        return "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in hexagon(radius)) + "Z"

    return "\n".join(
        [
            '<svg xmlns="http://www.w3.org/2000/svg" viewBox="-8 -8 116 116">',
            f'<rect x="-8" y="-8" width="116" height="116" rx="23" fill="{PAPER}"/>',
            f'<path d="{path(BASE)}" fill="none" stroke="{INK}" stroke-width="{LINE:g}"'
            ' stroke-linejoin="round"/>',
            f'<path d="{path(TISSUE)}" fill="{ALIVE}"/>',
            f'<circle cx="50" cy="50" r="{(OUTER + INNER) / 2:g}" fill="none" stroke="{PAPER}"'
            f' stroke-width="{OUTER - INNER:g}"/>',
            "</svg>",
            "",
        ]
    )


def main() -> None:
    """Write every icon into `public/`."""
    PUBLIC.mkdir(exist_ok=True)
    (PUBLIC / "icon.svg").write_text(svg(), encoding="utf-8")
    for icon in ICONS:
        draw(icon).save(PUBLIC / icon.name, optimize=True)


if __name__ == "__main__":
    main()
