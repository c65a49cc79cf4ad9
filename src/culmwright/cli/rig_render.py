"""Adjuster settings as text for a terminal: words first, then the table of the screws."""

from __future__ import annotations

from culmwright.book.setting_words import settings_words
from culmwright.cli.render import sentences, table
from culmwright.measure.display import Display
from culmwright.measure.reckoning import Explanation
from culmwright.workshop.setting import AdjusterSetting, Correction, Settings


def settings(found: Settings, show: Display) -> str:
    """Where the strips lie, how well they come out, and how every screw stands."""
    heads = [
        "adjuster",
        f"from the rig's tip end, {show.station.unit}",
        f"from the section's, {show.station.unit}",
        f"{'depth' if found.kind == 'form' else 'lift'}, {show.height.unit}",
        "turn",
        "from now",
        "exact here",
        "",
    ]
    rows = [_row(one, found, show) for one in found.adjusters]
    shows = any(one.shown is not None for one in found.adjusters)
    if shows:
        heads.insert(4, "gauge shows")
    used = [i for i in range(len(heads)) if i < 3 or any(row[i] for row in rows)]
    lines = [*settings_words(found, show), ""]
    lines.append(table([heads[i] for i in used], ([row[i] for i in used] for row in rows)))
    return "\n".join(lines) + sentences(found.notes)


def _row(one: AdjusterSetting, found: Settings, show: Display) -> list[str]:
    shown = (
        []
        if all(each.shown is None for each in found.adjusters)
        else ["-" if one.shown is None else show.height.number(one.shown)]
    )
    return [
        str(one.number),
        show.station.number(one.place),
        show.station.number(one.position) if one.under_strip else "beyond",
        show.height.number(one.depth),
        *shown,
        found.turned(one.turn),
        "" if one.from_now is None else found.move(one.from_now),
        found.turned(one.plain_turn),
        one.limit,
    ]


def correction(put_right: Correction, found: Settings, show: Display) -> str:
    """What to turn when strips read over or under."""
    if not put_right.over:
        return f"Strips of {found.section} read on size: leave it."
    side = "over" if put_right.over > 0 else "under"
    read = f"Strips of {found.section} read {show.small(abs(put_right.over))} {side}: "
    if put_right.turn is not None and put_right.depth is not None:
        way = "deeper" if put_right.depth > 0 else "shallower"
        by = show.small(abs(put_right.depth))
        return f"{read}every screw: {found.move(put_right.turn)}; the groove comes {by} {way}."
    dial = f", the dial {put_right.dial}" if put_right.dial else ""
    return f"{read}set the stop to {show.height(put_right.stop or 0.0)}{dial}."


def turn(one: Explanation, found: Settings, show: Display) -> str:
    """The ladder of one adjuster's turn."""
    figures = one.figures(show)
    rows = [(rung.step, figure, rung.rule, rung.source) for rung, figure in zip(one.ladder, figures, strict=True)]
    widths = [max(len(row[i]) for row in rows) for i in range(3)]
    lines = [
        f"{step:<{widths[0]}}  {value:>{widths[1]}}   {rule:<{widths[2]}}  {source}"
        for step, value, rule, source in rows
    ]
    return "\n".join([f"{one.spot}: {found.turned(one.value)} from zero.", "", *lines])
