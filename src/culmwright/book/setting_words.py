"""Adjuster settings in sentences, for terminal, page and sheet alike."""

from __future__ import annotations

from culmwright.measure.display import Display
from culmwright.rigs.setting_records import Settings

FEW = 4


def settings_words(found: Settings, show: Display) -> tuple[str, ...]:
    """Where the strips lie, what the setting leaves, and what the plain way would leave; each a sentence."""
    small, near, station = show.small, show.near, show.station
    grooves = f", groove{'s' if len(found.grooves) > 1 else ''} {' and '.join(found.grooves)}" if found.grooves else ""
    lay = f"Lay every strip so that its section's tip end is {station(found.tip_end)} from the rig's tip end"
    if found.hole is not None:
        lay += f": fixed at the hole or stop at {station(found.hole)}"
    said = [f"{found.rig}{grooves}, set for {found.section}, {found.what}.", f"{lay}."]
    if found.stop is not None:
        said.append(f"The stop stands at {show.height(found.stop)} above the bed's zero plane.")
    what = "strip" if found.kind == "bed" else "depth of the groove"
    every = list(dict.fromkeys(near.number(one) for one in found.worst_places))
    places, rest = every[:FEW], len(every) - FEW
    more = f" and at {rest} place{'s' if rest > 1 else ''} more" if rest > 0 else ""
    said.append(
        f"The {what} then departs from the taper by {small(found.worst_departure)} at worst, at {', '.join(places)} "
        f"{near.unit} from the section's tip end{more}; by {small(found.as_set_departure)} with the screws set to the "
        "nearest mark."
    )
    said.append(
        f"Set exactly to the taper at every adjuster it would depart by {small(found.plain_departure)}, at "
        f"{near(found.plain_place)}: a bar bends between its screws."
    )
    if not found.met:
        said.append("This rig cannot cut this taper within a thou: see where, and which screws are at their limit.")
    return tuple(said)
