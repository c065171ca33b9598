"""SVG to PNG at a stated dpi, without a browser."""

from __future__ import annotations

import re
import struct
import zlib

from tastevocab.errors import InputError

SIGNATURE = b"\x89PNG\r\n\x1a\n"
MOST_PIXELS = 120_000_000
_SIZE = re.compile(r'(<svg[^>]*?) width="([0-9.]+)mm" height="([0-9.]+)mm"')


def svg_to_png(svg: str, dpi: float = 300) -> bytes:
    """The SVG (one of ours: its size in mm) as PNG bytes; `dpi` pixels an inch, which the file itself states.

    Raises `InputError` for a dpi that gives no sensible picture.
    """
    import resvg_py

    width, height = pixel_size(svg, dpi)
    # The drawer rounds a size in mm on its own; told in pixels it keeps ours.
    sized = _SIZE.sub(f'\\1 width="{width}" height="{height}"', svg, count=1)
    drawn = bytes(resvg_py.svg_to_bytes(svg_string=sized, skip_system_fonts=True))
    return with_dpi(drawn, dpi)


def pixel_size(svg: str, dpi: float) -> tuple[int, int]:
    """Width and height in pixels of an SVG whose size is given in mm."""
    found = _SIZE.search(svg)
    if not found:
        raise InputError("the SVG does not say its size in millimetres", mend="draw it with draw_svg")
    if not 10 <= dpi <= 2400:
        raise InputError(f"{dpi:g} dpi is no sensible resolution", mend="choose 72 to 600 dpi")
    width, height = (max(1, round(float(mm) * dpi / 25.4)) for mm in found.groups()[1:])
    if width * height > MOST_PIXELS:
        raise InputError(f"{dpi:g} dpi would be {width} x {height} pixels", mend="choose 72 to 600 dpi")
    return width, height


def with_dpi(png: bytes, dpi: float) -> bytes:
    """The PNG with a pHYs chunk (pixels a metre) after its header."""
    per_metre = round(dpi / 0.0254)
    body = b"pHYs" + struct.pack(">IIB", per_metre, per_metre, 1)
    chunk = struct.pack(">I", 9) + body + struct.pack(">I", zlib.crc32(body))
    after_header = len(SIGNATURE) + 25
    return png[:after_header] + chunk + png[after_header:]
