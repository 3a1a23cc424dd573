"""Scales of drawings and the bar that shows them."""

from __future__ import annotations

from collections.abc import Callable

from docgen.compose.board import THIN, Board
from docgen.compose.drawing import Drawing, Fill, Path, rectangle
from docgen.compose.say import Say

__all__ = ["SCALES", "WIDEST", "fitting", "scale_bar"]

#: n of 1:n, in the steps of ISO 5455 (from memory) and their common halves.
SCALES = (
    10, 15, 20, 25, 30, 40, 50, 60, 75, 100, 125, 150, 200, 250, 300, 400, 500, 750, 1000, 1500, 2000, 5000, 10_000, 20_000,
    50_000, 100_000,
)  # fmt: skip
WIDEST = 165.0  # a letter page's text is 172 mm wide, an A4 page's 166 mm
STEPS = (0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000)


def fitting(build: Callable[[int], Drawing], height: float, size: tuple[float, float]) -> Drawing:
    """The drawing at the largest scale at which its sheet is at most WIDEST wide and `height` high [mm].

    size: width and height of what is surely on it [m], so that no drawing is made at a scale that cannot do.
    """
    likely = [s for s in SCALES if size[0] * 1000 / s <= WIDEST and size[1] * 1000 / s <= height]
    for scale in likely or SCALES[-1:]:
        drawing = build(scale)
        if drawing.width <= WIDEST and drawing.height <= height:
            break
    return drawing


def scale_bar(board: Board, say: Say, scale: int) -> None:
    """A bar of four fields under the board's left edge, with its length and the scale."""
    left, _, _, bottom = board.bounds()
    unit, name = (0.3048, "ft") if say.system == "us" else (1.0, "m")
    step = next((s for s in STEPS if s * unit * 1000 / scale >= 20), STEPS[-1])
    length = step * unit * 1000 / scale
    y = bottom + 2.2
    for field in range(4):
        fill: Fill = "black" if field % 2 == 0 else "white"
        board.draw(rectangle(left + length * field / 4, y, left + length * (field + 1) / 4, y + 1.1, width=THIN, fill=fill))
    board.draw(Path(((left, y), (left + length, y)), THIN, part="scale-bar"))
    board.letter(left + length + 1.5, y + 0.6, [f"{step:g} {name}, {say.word('scale', scale=str(scale))}"])
