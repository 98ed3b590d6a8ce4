"""A report as one page that needs nothing else: no script, no address, style and pictures inside."""

from __future__ import annotations

import base64
import hashlib
from html import escape
from typing import Final

from underboard.exchange.report.parts import (
    KEPT_WHOLE,
    Block,
    Dot,
    Drawing,
    Grid,
    Label,
    Line,
    Picture,
    Report,
    Shape,
    Words,
)

STYLE: Final = """
:root{color-scheme:light}
body{margin:0 auto;max-width:52rem;padding:1rem;font:1rem/1.45 system-ui,sans-serif;color:#1f1a14;background:#fff;
overflow-wrap:anywhere}
h1{font-size:1.5rem;margin:0}h2{font-size:1.15rem;border-bottom:2px solid #6b2d12;margin:1.5rem 0 .5rem}
.under{color:#574d3e;margin:.2rem 0 1rem}p{margin:.4rem 0}
.caution{border-left:.4rem solid #b4530a;padding:.3rem .8rem;background:#f6f1e7}
.wide{overflow-x:auto}table{border-collapse:collapse;font-size:.9rem;margin:.5rem 0;min-width:60%}
th,td{border-bottom:1px solid #cfc3ab;padding:.25rem .6rem .25rem 0;text-align:left;vertical-align:top}
th{border-bottom:2px solid #574d3e}td,th{overflow-wrap:normal}
.over td{border-bottom:0;font-weight:600}
figure{margin:.5rem 0;overflow-x:auto}svg{width:100%;height:auto;max-width:640px}
@media screen{tr:not(.over)>.whole{white-space:nowrap}svg{min-width:30rem}}
figcaption,footer{font-size:.9rem;color:#574d3e}
@media print{body{max-width:none;font-size:10pt}h2,.over{break-after:avoid}tr,figure{break-inside:avoid}}
"""
STYLE_HASH: Final = base64.b64encode(hashlib.sha256(STYLE.encode()).digest()).decode()
POLICY: Final = (
    f"default-src 'none'; style-src 'sha256-{STYLE_HASH}'; sandbox; frame-ancestors 'none'; base-uri 'none'"
)
"""Content Security Policy of the page: its own style and nothing else, whatever people wrote."""


def as_html(report: Report) -> str:
    """Return the page. Every word in it that people wrote is text and never markup."""
    sections = "".join(
        f"<section><h2>{escape(one.title)}</h2>{''.join(map(_block, one.blocks))}</section>"
        for one in report.sections
    )
    return (
        f'<!doctype html><html lang="{report.language}"><head><meta charset="utf-8">'
        f"<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'sha256-{STYLE_HASH}'\">"
        f'<meta name="viewport" content="width=device-width"><title>{escape(report.title)}</title>'
        f"<style>{STYLE}</style></head><body><main><h1>{escape(report.title)}</h1>"
        f'<p class="under">{escape(report.subtitle)}</p>{sections}</main><footer>{escape(report.foot)}</footer>'
        f"</body></html>\n"
    )


def _block(block: Block) -> str:
    if isinstance(block, Words):
        kind = ' class="caution"' if block.caution else ""
        return f"<p{kind}>{escape(block.text)}</p>"
    if isinstance(block, Grid):
        return _grid(block)
    return f"<figure>{as_svg(block)}<figcaption>{escape(block.words)}</figcaption></figure>"


def _grid(grid: Grid) -> str:
    across = len(grid.heads) - grid.told_below
    heads = "".join(f'<th scope="col">{escape(head)}</th>' for head in grid.heads[:across])
    rows = ""
    kind = ' class="over"' if grid.told_below else ""
    for row in grid.rows:
        rows += f"<tr{kind}>{''.join(map(_cell, row[:across]))}</tr>"
        for head, cell in zip(grid.heads[across:], row[across:], strict=True):
            rows += f'<tr><td colspan="{across}">{escape(head)}: {escape(cell)}</td></tr>'
    return f'<div class="wide"><table><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table></div>'


def _cell(cell: str) -> str:
    whole = ' class="whole"' if len(cell) <= KEPT_WHOLE else ""
    return f"<td{whole}>{escape(cell)}</td>"


def as_svg(picture: Picture) -> str:
    """Return a picture as SVG; it speaks its sentence to who cannot see it."""
    drawing: Drawing = picture.drawing
    inner = "".join(map(_shape, drawing.shapes))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {drawing.width:g} {drawing.height:g}" role="img" '
        f'aria-label="{escape(picture.words)}">{inner}</svg>'
    )


def _shape(shape: Shape) -> str:
    if isinstance(shape, Line):
        dashes = ' stroke-dasharray="4 3"' if shape.dashed else ""
        return (
            f'<line x1="{shape.x1:g}" y1="{shape.y1:g}" x2="{shape.x2:g}" y2="{shape.y2:g}" '
            f'stroke="{shape.colour}" stroke-width="{shape.width:g}"{dashes}/>'
        )
    if isinstance(shape, Dot):
        return f'<circle cx="{shape.x:g}" cy="{shape.y:g}" r="{shape.radius:g}" fill="{shape.colour}"/>'
    return _label(shape)


def _label(shape: Label) -> str:
    return (
        f'<text x="{shape.x:g}" y="{shape.y:g}" font-size="{shape.size:g}" text-anchor="{shape.anchor}" '
        f'font-family="sans-serif" fill="{shape.colour}">{escape(shape.text)}</text>'
    )
