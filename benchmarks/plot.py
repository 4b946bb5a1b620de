"""A small picture of how times grow: both axes in decades, one line a question."""

from __future__ import annotations

import math
from html import escape

WIDTH, HEIGHT, LEFT, BOTTOM, TOP, RIGHT = 900, 480, 60, 50, 20, 330
DASHES = ("", "6 3", "2 3", "8 3 2 3")
GREYS = ("#000", "#555", "#999")


def growth(curves: dict[str, list[tuple[float, float]]], across: str, up: str) -> str:
    """SVG text. `curves`: name to points (number, seconds), both greater than 0."""
    points = [point for curve in curves.values() for point in curve]
    x0, x1 = (math.log10(end([x for x, _ in points])) for end in (min, max))
    y0 = math.floor(math.log10(max(1e-3, min(y for _, y in points))))
    y1 = math.ceil(math.log10(max(y for _, y in points)))

    def place(x: float, y: float) -> tuple[float, float]:
        across_part = (math.log10(x) - x0) / ((x1 - x0) or 1)
        up_part = (math.log10(max(y, 10**y0)) - y0) / ((y1 - y0) or 1)
        return LEFT + across_part * (WIDTH - LEFT - RIGHT), HEIGHT - BOTTOM - up_part * (HEIGHT - BOTTOM - TOP)

    rows = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" font-family="sans-serif" '
        'font-size="12"><rect width="100%" height="100%" fill="#fff"/>'
    ]
    for decade in range(y0, y1 + 1):
        _, y = place(10**x0, 10**decade)
        rows.append(f'<path d="M{LEFT} {y:.1f}H{WIDTH - RIGHT}" stroke="#ddd"/>')
        rows.append(f'<text x="{LEFT - 6}" y="{y + 4:.1f}" text-anchor="end">{10.0**decade:g}</text>')
    for number in sorted({x for x, _ in points}):
        x, _ = place(number, 10**y0)
        rows.append(f'<text x="{x:.1f}" y="{HEIGHT - BOTTOM + 18}" text-anchor="middle">{number:g}</text>')
    rows.append(f'<text x="{LEFT}" y="{HEIGHT - 12}">{escape(across)}; upwards: {escape(up)}</text>')
    for index, (name, curve) in enumerate(curves.items()):
        rows += _line(index, name, [place(*point) for point in sorted(curve)])
    return "\n".join([*rows, "</svg>"]) + "\n"


def _line(index: int, name: str, points: list[tuple[float, float]]) -> list[str]:
    style = f'stroke="{GREYS[index // 4 % 3]}" stroke-dasharray="{DASHES[index % 4]}" fill="none" stroke-width="1.5"'
    path = "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in points)
    y = TOP + 8 + 18 * index
    return [
        f'<path d="{path}" {style}/>',
        f'<path d="M{WIDTH - RIGHT + 15} {y}h36" {style}/>',
        f'<text x="{WIDTH - RIGHT + 58}" y="{y + 4}">{escape(name)}</text>',
    ]
