"""Small figures that say what a number means: a strip with its dimensions, and a strip in the V block."""

from __future__ import annotations

from math import degrees, tan

from culmwright.bench.targets import StripTarget
from culmwright.book.rod_drawing import polygon
from culmwright.book.svg import Sheet
from culmwright.design.strip import StripForm
from culmwright.measure.display import Display


def _strip(sheet: Sheet, form: StripForm, x: float, apex: float, tall: float, one: StripTarget | None) -> float:
    """Draw a strip ``tall`` [pt] standing on its apex at (x, apex); its face on paper [pt]."""
    scale = tall / one.height if one else 1.0
    wide = one.face_width * scale if one else 2 * tall * tan(form.apex_angle / 2)
    chord = apex - (tall - (one.crown or 0.0) * scale if one else tall)
    left, right = x - wide / 2, x + wide / 2
    arc = f"A{form.culm_radius * scale:.2f} {form.culm_radius * scale:.2f} 0 0 1" if one and form.culm_radius else "L"
    sheet.path(f"M{x:.2f} {apex:.2f} L{left:.2f} {chord:.2f} {arc} {right:.2f} {chord:.2f} Z", fill="#eee")
    return wide


def strip_figure(form: StripForm, one: StripTarget, show: Display) -> str:
    """One strip with its dimensions, and the section ``form.sides`` of them glue up to."""
    sheet = Sheet(493, 200)
    tall = min(120.0, 160.0 * one.height / one.face_width)
    x, apex = 150.0, 108.0 + tall / 2
    wide = _strip(sheet, form, x, apex, tall, one)
    top = apex - tall
    sheet.line(x, apex, x + wide / 2 + 26, apex, 0.4)
    sheet.line(x, top, x + wide / 2 + 26, top, 0.4, "2 2")
    sheet.dimension(x + wide / 2 + 20, top, x + wide / 2 + 20, apex)
    sheet.text(x + wide / 2 + 26, (top + apex) / 2 - 2, "height", weight=600)
    sheet.text(x + wide / 2 + 26, (top + apex) / 2 + 11, show.height(one.height), weight=600)
    sheet.dimension(x - wide / 2, top - 10, x + wide / 2, top - 10)
    sheet.text(x, top - 15, f"face {show.height(one.face_width)}", "middle")
    if one.crown is not None:
        sheet.text(x - wide / 2 - 6, top + 2, "crown", "end")
        sheet.text(x - wide / 2 - 6, top + 15, show.small(one.crown), "end")
    sheet.text(x, apex + 14, f"apex {degrees(form.apex_angle):.4g} deg", "middle")
    radius, cx, cy = 56.0, 362.0, 108.0
    corners = polygon(form.sides, cx, cy, radius)
    sheet.shape(corners, fill="#eee")
    for cornered in corners:
        sheet.line(cx, cy, *cornered)
    low, high = max(y for _, y in corners), min(y for _, y in corners)
    edge = max(px for px, _ in corners) + 16
    sheet.line(cx, low, edge + 6, low, 0.4, "2 2")
    sheet.line(cx, high, edge + 6, high, 0.4, "2 2")
    sheet.dimension(edge, high, edge, low)
    sheet.text(edge + 6, cy - 2, "as glued")
    sheet.text(edge + 6, cy + 11, show.across(one.glued_across))
    return sheet.svg()


def block_figure(form: StripForm, beta: float) -> str:
    """A strip in a V block of angle ``beta`` [rad], with what is the zero and what the height."""
    sheet = Sheet(300, 190)
    x, root = 110.0, 130.0
    wall = min(92.0, 74.0 / tan(beta / 2))
    tall = wall - 8
    reach = wall * tan(beta / 2)
    floor, low, left, right = root + 34, root - wall, x - reach, x + reach
    walls = [(left - 26, low), (left, low), (x, root), (right, low), (right + 26, low)]
    sheet.shape([*walls, (right + 26, floor), (left - 26, floor)])
    _strip(sheet, form, x, root, tall, None)
    top = root - tall
    sheet.shape([(x - 9, top - 16), (x + 9, top - 16), (x + 9, top), (x - 9, top)], "#fff")
    sheet.text(x, top - 20, "gauge", "middle")
    side = x + reach + 44
    sheet.line(x + 9, top, side + 6, top, 0.4, "2 2")
    sheet.line(x, root, side + 6, root, 0.4, "2 2")
    sheet.line(x + reach + 26, floor, side + 6, floor, 0.4, "2 2")
    sheet.dimension(side, top, side, root)
    sheet.dimension(side, root, side, floor)
    sheet.text(side + 6, (top + root) / 2 + 4, "height", weight=600)
    sheet.text(side + 6, (root + floor) / 2 + 4, "zero")
    sheet.text(x, root + 20, f"{degrees(beta):.4g} deg", "middle")
    return sheet.svg()
