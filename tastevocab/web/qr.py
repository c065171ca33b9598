"""An address as a QR code (ISO/IEC 18004): black on white whatever the theme, or cameras miss it."""

from __future__ import annotations

import io


def qr_svg(text: str) -> bytes:
    """`text` as an SVG with a quiet zone of four modules, fit to be shown at any size."""
    import segno

    out = io.BytesIO()
    made = segno.make(text, error="m", micro=False)
    made.save(out, kind="svg", border=4, dark="#000", light="#fff", omitsize=True, xmldecl=False, nl=False)
    return out.getvalue()
