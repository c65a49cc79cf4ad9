"""Labels for strips: a QR code that any scanner types out, and the same text in print."""

from __future__ import annotations

import datetime
import io
import json
from dataclasses import dataclass
from importlib.resources import files

from culmwright.book.contents import Paper
from culmwright.book.press import PressError, fonts
from culmwright.measure.errors import BadInput
from culmwright.measure.record import si

LONGEST = 20
"""Characters a label holds at most: the fewer, the larger its modules."""
MODULE = 0.6e-3  # [m] well above the 0.4 mm that cheap scanners want
QUIET = 4


@dataclass(frozen=True, slots=True)
class Label:
    """A label: its ``text``, what it stands on in ``words``, its QR code as SVG and how wide that is, quiet zone in."""

    text: str
    words: str
    svg: str
    width: float = si("m")


def drawn(text: str) -> str:
    """A QR code of ``text`` as SVG that fills the width it is given, error level Q, its quiet zone in it."""
    import segno

    out = io.BytesIO()
    code = segno.make(text, error="q", micro=False)
    code.save(out, kind="svg", border=QUIET, xmldecl=False, svgns=True, omitsize=True)
    return out.getvalue().decode()


def label(text: str, words: str) -> Label:
    """A label of ``text``, in capitals so that its code stays small."""
    import segno

    tidy = text.upper()
    if not tidy or len(tidy) > LONGEST:
        raise BadInput(f'"{tidy[:40]}" is too long for a label', remedy=f"A label holds {LONGEST} characters")
    modules = segno.make(tidy, error="q", micro=False).symbol_size(border=QUIET)[0]
    return Label(tidy, words, drawn(tidy), modules * MODULE)


def print_labels(title: str, labels: tuple[Label, ...], paper: Paper, date: datetime.date) -> bytes:
    """Sheets of labels as PDF, with lines to cut along."""
    import typst

    data = {
        "title": title,
        "paper": paper.name,
        "labels": [
            {"text": one.text, "words": one.words, "svg": one.svg, "width_mm": one.width * 1000} for one in labels
        ],
    }
    stamp = int(datetime.datetime.combine(date, datetime.time(), datetime.UTC).timestamp())
    compiler = typst.Compiler(
        input=str(files("culmwright.book") / "labels.typ"),
        font_paths=[str(fonts())],
        ignore_system_fonts=True,
        sys_inputs={"data": json.dumps(data)},
    )
    content, complaints = compiler.compile_with_warnings(format="pdf", timestamp=stamp)
    if complaints or not isinstance(content, bytes):
        raise PressError("; ".join(str(one) for one in complaints))
    return content
