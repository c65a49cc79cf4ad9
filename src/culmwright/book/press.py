"""The press: sheets to PDF by typst, the same bytes for the same book and date."""

from __future__ import annotations

import datetime
import io
import json
from functools import cache
from importlib.resources import files
from pathlib import Path

from culmwright.book.contents import BookContents
from culmwright.book.sheets import sheets


class PressError(RuntimeError):
    """The press itself complained: a fault of the program, not of the rod."""


@cache
def fonts() -> Path:
    """Folder of the sans serif that pages and charts are set in; the chart renderer learns of it here."""
    import font_source_sans_pro
    import vl_convert

    folder = Path(str(files(font_source_sans_pro))) / "files"
    vl_convert.register_font_directory(str(folder))
    return folder


def qr(text: str) -> str:
    """A QR code of ``text`` as SVG, error level Q, with its quiet zone of four modules."""
    import segno

    out = io.BytesIO()
    segno.make(text, error="q", micro=False).save(out, kind="svg", border=4, scale=4, xmldecl=False, svgns=True)
    return out.getvalue().decode()


def press(book: BookContents, date: datetime.date) -> tuple[bytes, int]:
    """The book as PDF and its number of pages. An unknown font is an error, never a silent fallback."""
    import typst

    folder = fonts()
    data = sheets(book)
    data["qr"] = {label: qr(label) for group in data["groups"] for label in group["labels"]}
    template = str(files("culmwright.book") / "shop_book.typ")
    stamp = int(datetime.datetime.combine(date, datetime.time(), datetime.UTC).timestamp())
    compiler = typst.Compiler(
        input=template, font_paths=[str(folder)], ignore_system_fonts=True, sys_inputs={"data": json.dumps(data)}
    )
    content, complaints = compiler.compile_with_warnings(format="pdf", timestamp=stamp)
    if complaints or not isinstance(content, bytes):
        raise PressError("; ".join(str(one) for one in complaints))
    return content, int(json.loads(compiler.query("<pages>", field="value", one=True)))
