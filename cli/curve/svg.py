"""A curve as a picture: plain SVG, that any browser shows and any printer prints."""

from html import escape
from math import ceil, floor, log10

from ...constraints.model.brief import Bench
from ...constraints.values.units import scale_of
from ...solver.prices.course import Course
from .axis import Axis

WIDTH, HEIGHT = 720, 440
LEFT, RIGHT, TOP, BOTTOM = 80, 24, 48, 64

Ends = tuple[float, float]


def drawn(bench: Bench, axis: Axis, course: Course) -> str:
    """The picture as text; with nothing to draw it holds its title and axes alone."""
    scale = scale_of(axis.unit)
    points = [(at * scale, cost) for at, cost in course.points]
    now = (course.now[0] * scale, course.now[1])
    across = _ends([axis.interval[0] * scale, axis.interval[1] * scale])
    up = _ends([cost for _, cost in points] or [now[1]])
    title = f"{bench.brief.name}: cost along the {axis.label}"
    label = f"{axis.label} [{axis.unit}]" if axis.unit else axis.label
    body = [
        *_frame(across, up),
        _text(LEFT, 28, title, size=15, anchor="start"),
        _text((LEFT + WIDTH - RIGHT) / 2, HEIGHT - 16, label),
        _text(LEFT, TOP - 6, f"{bench.brief.currency}/kg of mix", anchor="start"),
        *_line(points, across, up),
        *_today(points, now, across, up),
    ]
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}"'
        f' width="{WIDTH}" height="{HEIGHT}" font-family="sans-serif" role="img">'
    )
    named = f"<title>{escape(title)}</title>"
    ground = f'<rect width="{WIDTH}" height="{HEIGHT}" fill="white"/>'
    return "\n".join([head, named, ground, *body, "</svg>", ""])


def _ends(values: list[float]) -> Ends:
    """Round ends around some values."""
    least, most = min(values), max(values)
    if most - least < 1e-9 * max(1.0, abs(most)):
        least, most = least - 0.5, most + 0.5
    step = _step(least, most)
    return floor(least / step + 1e-9) * step, ceil(most / step - 1e-9) * step


def _step(least: float, most: float) -> float:
    rough = (most - least) / 6
    power = 10.0 ** floor(log10(rough))
    return float(next(part * power for part in (1, 2, 5, 10) if part * power >= rough * 0.999))


def _ticks(ends: Ends) -> list[float]:
    step = _step(*ends)
    first, last = ceil(ends[0] / step - 1e-9), floor(ends[1] / step + 1e-9)
    return [number * step for number in range(first, last + 1)]


def _x(value: float, across: Ends) -> float:
    return LEFT + (value - across[0]) / (across[1] - across[0]) * (WIDTH - LEFT - RIGHT)


def _y(value: float, up: Ends) -> float:
    return HEIGHT - BOTTOM - (value - up[0]) / (up[1] - up[0]) * (HEIGHT - TOP - BOTTOM)


def _frame(across: Ends, up: Ends) -> list[str]:
    """Grid lines and the figures beside them."""
    right, bottom = WIDTH - RIGHT, HEIGHT - BOTTOM
    lines = []
    for tick in _ticks(up):
        y = _y(tick, up)
        lines.append(_rule(LEFT, y, right, y, "#ddd"))
        lines.append(_text(LEFT - 8, y + 4, _figure(tick, _step(*up)), anchor="end"))
    for tick in _ticks(across):
        x = _x(tick, across)
        lines.append(_rule(x, bottom, x, bottom + 5, "#333"))
        lines.append(_text(x, bottom + 20, _figure(tick, _step(*across))))
    return [
        *lines,
        _rule(LEFT, bottom, right, bottom, "#333"),
        _rule(LEFT, TOP, LEFT, bottom, "#333"),
    ]


def _figure(value: float, step: float) -> str:
    return f"{value + 0.0:.{max(0, -floor(log10(step) + 1e-9))}f}"


def _line(points: list[tuple[float, float]], across: Ends, up: Ends) -> list[str]:
    places = [(_x(at, across), _y(cost, up)) for at, cost in points]
    path = " ".join(f"{x:.2f},{y:.2f}" for x, y in places)
    line = f'<polyline points="{path}" fill="none" stroke="#1b4f72" stroke-width="2"/>'
    return [line, *(f'<circle cx="{x:.2f}" cy="{y:.2f}" r="3" fill="#1b4f72"/>' for x, y in places)]


def _today(
    points: list[tuple[float, float]], now: tuple[float, float], across: Ends, up: Ends
) -> list[str]:
    if not points or not points[0][0] <= now[0] <= points[-1][0]:
        return []
    x, y = _x(now[0], across), _y(now[1], up)
    ring = f'<circle cx="{x:.2f}" cy="{y:.2f}" r="6" fill="none" stroke="black" stroke-width="2"/>'
    return [ring, _text(x, y - 12, "today")]


def _rule(x1: float, y1: float, x2: float, y2: float, colour: str) -> str:
    return f'<line x1="{x1:.2f}" y1="{y1:.2f}" x2="{x2:.2f}" y2="{y2:.2f}" stroke="{colour}"/>'


def _text(x: float, y: float, said: str, *, size: int = 12, anchor: str = "middle") -> str:
    place = f'x="{x:.2f}" y="{y:.2f}" font-size="{size}" text-anchor="{anchor}"'
    return f"<text {place}>{escape(said)}</text>"
