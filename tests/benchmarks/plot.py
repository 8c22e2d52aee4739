"""Growth of time and memory as a picture (SVG): two charts on logarithmic axes, a line a program and family, the worst seed of a size."""

from collections import defaultdict
from html import escape
from math import ceil, floor, log10

WIDTH, HEIGHT, MARGIN = 520, 340, 60
COLOURS = ("#1b6ca8", "#c8553d", "#3a7d44", "#7b4b94", "#8a6d1d", "#4a4a4a")

Lines = dict[str, list[tuple[float, float]]]


def plot_growth(rows: list[dict[str, str]]) -> str:
    """Seconds and peak memory against devices. Raises ValueError without rows."""
    if not rows:
        raise ValueError("there are no rows to draw")
    charts = [_chart(_lines(rows, column), title) for column, title in (("seconds", "seconds"), ("peak_mib", "peak memory, MiB"))]
    parts = "".join(f'<g transform="translate({at * WIDTH} 0)">{chart}</g>' for at, chart in enumerate(charts))
    head = f'<svg xmlns="http://www.w3.org/2000/svg" width="{2 * WIDTH}" height="{HEIGHT}" font-family="sans-serif" font-size="11">'
    return f'{head}<rect width="100%" height="100%" fill="white"/>{parts}</svg>\n'


def _lines(rows: list[dict[str, str]], column: str) -> Lines:
    """Points of each line: devices, and the worst of its seeds."""
    worst: dict[str, dict[float, float]] = defaultdict(dict)
    for row in rows:
        name, devices, value = f"{row['program']}, {row['family']}", float(row["devices"]), max(float(row[column]), 0.01)
        worst[name][devices] = max(value, worst[name].get(devices, 0))
    return {name: sorted(points.items()) for name, points in worst.items()}


def _chart(lines: Lines, title: str) -> str:
    across = _decades([x for points in lines.values() for x, _ in points])
    up = _decades([y for points in lines.values() for _, y in points])
    drawn = [f'<text x="{WIDTH / 2}" y="20" text-anchor="middle" font-size="13">{title} against devices, worst seed</text>']
    for decade in range(across[0], across[1] + 1):
        x = _place(10.0**decade, across, MARGIN, WIDTH - 20)
        drawn.append(f'<path d="M{x:.1f} 35V{HEIGHT - MARGIN}" stroke="#ddd"/>')
        drawn.append(f'<text x="{x:.1f}" y="{HEIGHT - MARGIN + 16}" text-anchor="middle">{10**decade:,}</text>')
    for decade in range(up[0], up[1] + 1):
        y = _place(10.0**decade, up, HEIGHT - MARGIN, 35)
        drawn.append(f'<path d="M{MARGIN} {y:.1f}H{WIDTH - 20}" stroke="#ddd"/>')
        drawn.append(f'<text x="{MARGIN - 6}" y="{y + 4:.1f}" text-anchor="end">{10.0**decade:,g}</text>')
    for at, (name, points) in enumerate(lines.items()):
        drawn += _line(name, [(_place(x, across, MARGIN, WIDTH - 20), _place(y, up, HEIGHT - MARGIN, 35)) for x, y in points], at)
    return "".join(drawn)


def _decades(values: list[float]) -> tuple[int, int]:
    low, high = floor(log10(min(values))), ceil(log10(max(values)))
    return low, max(high, low + 1)


def _place(value: float, decades: tuple[int, int], low: float, high: float) -> float:
    return low + (log10(value) - decades[0]) / (decades[1] - decades[0]) * (high - low)


def _line(name: str, points: list[tuple[float, float]], at: int) -> list[str]:
    colour, row = COLOURS[at % len(COLOURS)], HEIGHT - MARGIN + 32 + 13 * (at // 2)
    path = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
    marks = [f'<circle cx="{x:.1f}" cy="{y:.1f}" r="3" fill="{colour}"/>' for x, y in points]
    key = f'<text x="{MARGIN + 220 * (at % 2)}" y="{row}" fill="{colour}">{escape(name)}</text>'
    return [f'<polyline points="{path}" fill="none" stroke="{colour}" stroke-width="2"/>', *marks, key]
