"""The working behind a section's strips as they come from a culm: how wide, how long, how many, and what comes off."""

from __future__ import annotations

from math import pi

from culmwright.bench.culm_yield import CulmYield, LengthYield, Need
from culmwright.bench.targets import StripTarget, schedule
from culmwright.cane.culm import Culm, CulmLength
from culmwright.cane.layout import Cut, SectionLayout
from culmwright.cane.ring import angle_of_strip
from culmwright.design.rod import Rod
from culmwright.measure.reckoning import GEOMETRY, ROD_FILE, Reckoning

CULM_FILE = "culm file"
SEARCH = "constraint programming, CP-SAT"


def strips_working(rod: Rod, culms: tuple[Culm, ...], found: CulmYield, section: str) -> dict[str, Reckoning]:
    """What the strips of a ``section`` rest on: raw ``width`` [m], and how many ``strips`` the first length it comes
    from holds; nothing where the culms give it none.
    """
    need = next(one for one in found.needs if one.section == section)
    source = next((one for one in found.lengths for taken in one.taken if taken.section == section), None)
    if source is None:
        return {}
    culm = next(one for one in culms if one.label == source.culm)
    width = _width(rod, culm, need)
    return {"width": width, "strips": _strips(rod, culm, found, source, width)}


def _width(rod: Rod, culm: Culm, need: Need) -> Reckoning:
    """The raw width [m] of a section's strips, from their widest finished face."""
    allowed = culm.splitting
    stations = next(one for one in schedule(rod).sections if one.section == need.section).stations
    widest: StripTarget = max(stations, key=lambda one: one.face_width)
    over = Reckoning("for roughing", allowed.over.m, "m", "over" if allowed.given else "none given", CULM_FILE)
    wander = Reckoning(
        "for what the split wanders", allowed.wander.m, "m", "wander" if allowed.given else "none given", CULM_FILE
    )
    face = widest.working["face"]
    return Reckoning(
        f"raw width of a strip of {need.section}",
        need.width,
        "m",
        f"widest face, at {widest.place.given}, + both",
        GEOMETRY,
        (face, over, wander),
    )


def _strips(rod: Rod, culm: Culm, found: CulmYield, source: LengthYield, width: Reckoning) -> Reckoning:
    """How many strips [-] a culm length is parted into."""
    widest = source.width or 0.0
    if widest != width.value:
        need = next(one for one in found.needs if one.width == widest)
        width = _width(rod, culm, need)
    kerf = Reckoning(
        "kerf of the saw",
        culm.splitting.kerf.m,
        "m",
        "kerf" if culm.splitting.kerf.nanometres else "split: none",
        CULM_FILE,
    )
    diameter = Reckoning(
        f"narrow end of {source.name}",
        source.diameter,
        "m",
        "least diameter, straight between places measured",
        CULM_FILE,
    )
    angle = Reckoning(
        "a strip takes of the ring",
        angle_of_strip(source.diameter, widest, kerf.value),
        "rad",
        "2 asin((width + kerf)/diameter)",
        GEOMETRY,
        (width, kerf, diameter),
    )
    fit = Reckoning("as many fit", 2 * pi / angle.value, "-", "360 deg/angle", GEOMETRY, (angle,))
    return Reckoning(f"yield of {source.name}", source.strips, "strips", "whole ones", GEOMETRY, (fit,))


def cut_working(found: SectionLayout, cut: Cut, length: CulmLength) -> dict[str, Reckoning]:
    """What a line of a cut list rests on, for a strip out of a culm ``length``: ``off_butt``, ``off_tip`` and how
    ``long`` the strip stays [m].
    """
    start = Reckoning("its length begins along the culm", length.start.m, "m", f"{length.name}, from", CULM_FILE)
    end = Reckoning("and ends", length.end.m, "m", f"{length.name}, to", CULM_FILE)
    raw = Reckoning(f"{cut.strip} as it comes", length.length, "m", "end - begin", GEOMETRY, (start, end))
    section = Reckoning(f"length of {found.section}", found.length, "m", "shoulder to shoulder", ROD_FILE)
    trim = Reckoning("stands over for trimming, both ends", found.trim, "m", "strip_over, or as asked for", ROD_FILE)
    long = Reckoning("strip as it is cut", cut.length, "m", "section + trim", GEOMETRY, (section, trim))
    slack = Reckoning(
        "it can be slid by", length.length - cut.length, "m", "as it comes - as it is cut", GEOMETRY, (raw, long)
    )
    best = "no layout keeps nodes farther apart" if found.proved else "the best layout found"
    off_butt = Reckoning(
        "off the butt end",
        cut.from_butt,
        "m",
        f"0 to that, in steps of {1000 * found.step:g} mm: {best}",
        SEARCH,
        (slack,),
    )
    off_tip = Reckoning(
        "off the tip end", cut.from_tip, "m", "what can be slid - off the butt end", GEOMETRY, (slack, off_butt)
    )
    return {"off_butt": off_butt, "off_tip": off_tip, "long": long}
