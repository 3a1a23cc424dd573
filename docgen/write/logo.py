"""A client's logo as each type of file shows it: drawn again out of its shapes, or as the bytes of its picture."""

from __future__ import annotations

import base64
from typing import TYPE_CHECKING

from docgen.errors import WriteError
from docgen.write.svg import number

if TYPE_CHECKING:
    from docgen.look import Logo
    from docgen.look.svg import Run, Shape

__all__ = ["LOW", "TALL", "WIDE", "logo_svg", "logo_uri"]

#: Most height of a logo at the head of a report and of any other paper, and its most width [pt].
TALL, LOW, WIDE = 24.0, 13.0, 150.0


def _run(run: Run) -> str:
    start, pieces, closed = run
    said = ["M" + _point(start)]
    at = start
    for a, b, end in pieces:
        said.append(f"L{_point(end)}" if (a, b) == (at, end) else f"C{_point(a)} {_point(b)} {_point(end)}")
        at = end
    return "".join(said) + ("Z" if closed else "")


def _point(point: tuple[float, float]) -> str:
    return " ".join(map(number, point))


def _shape(shape: Shape) -> str:
    look = f' fill="{shape.fill or "none"}"' + (' fill-rule="evenodd"' if shape.even_odd else "")
    if shape.stroke:
        look += f' stroke="{shape.stroke}" stroke-width="{number(shape.stroke_width)}" stroke-linecap="{shape.cap}" stroke-linejoin="{shape.join}"'
    return f'<path d="{"".join(map(_run, shape.runs))}"{look}/>'


def logo_svg(logo: Logo) -> str:
    """SVG text of a logo; a PNG stands in it as the picture that it is."""
    width, height = number(logo.width), number(logo.height)
    head = f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height}" viewBox="0 0 {width} {height}">'
    if logo.png is not None:
        return f'{head}<image width="{width}" height="{height}" href="{_uri("png", logo.png)}"/></svg>'
    if logo.art is None:
        raise WriteError("a logo has neither a picture nor shapes")
    return "\n".join([head, *map(_shape, logo.art.shapes), "</svg>"])


def logo_uri(logo: Logo) -> str:
    """The logo as an address that holds it whole, for a page that needs nothing else."""
    return _uri("png", logo.png) if logo.png is not None else _uri("svg+xml", logo_svg(logo).encode("utf-8"))


def _uri(kind: str, data: bytes) -> str:
    return f"data:image/{kind};base64,{base64.b64encode(data).decode('ascii')}"
