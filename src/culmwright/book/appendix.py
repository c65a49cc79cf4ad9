"""The appendix: how every number of the strip schedule came from the drawing, and on whose authority."""

from __future__ import annotations

from typing import Any

from culmwright.bench.targets import StripTarget
from culmwright.book.contents import Group
from culmwright.book.words import called
from culmwright.design.rod import Rod
from culmwright.measure.display import Display


def ladder_sheet(rod: Rod, show: Display, group: Group) -> dict[str, Any]:
    """Every number of a group of sections, its reckoning laid out in a row, and the rule of each column."""
    height = show.height.number
    rows = []
    for one in group.targets.stations:
        work = one.working
        value = {rung.step: rung.value for rung in work["height"].ladder()}
        rows.append(
            [
                _spot(group, one, rod, show),
                show.across.number(one.across),
                height(value["bare apothem"]),
                height(value["apothem as glued"]),
                height(value["apothem less glue"]),
                height(one.height),
                height(one.rough_height),
                height(one.face_width),
                "–" if one.crown is None else height(one.crown),
                "–" if one.reading is None else height(one.reading),
            ]
        )
    first = group.targets.stations[0].working
    rules = {
        rung.step: rung.rule
        for name in ("rough", "face", *(("crown",) if "crown" in first else ()))
        for rung in first[name].ladder()
    }
    given = {rung.step: rung for rung in first["height"].ladder()}
    glue = given["glue moves a strip out"]
    return {
        "title": called(group.names, rod.pieces),
        "rows": rows,
        "rules": [
            ["bare", f"{rules['bare apothem']}: varnish {show.small(given['varnish over a flat'].value)} over a flat"],
            ["glued", f"{rules['apothem as glued']}: {show.small(given['finishing takes off a flat'].value)} a flat"],
            [
                "less glue",
                f"{rules['apothem less glue']}: {glue.rule} = {show.small(glue.value)}",
            ],
            [
                "height",
                f"{rules['strip height, dry']}: k = {given['closing k'].rule} = {show.ratio(given['closing k'].value)}",
            ],
            ["rough", f"{rules['rough strip height']}: {show.small(rod.making.rough_over.m)}"],
            ["face", rules["width of the enamel face"]],
            *([["crown", rules["crown of the enamel"]]] if "crown of the enamel" in rules else []),
            *([["reading", f"zero {show.height(rod.bench.block_zero.m)} + height"]] if rod.bench.block_zero else []),
        ],
    }


def worked(rod: Rod, show: Display, group: Group) -> dict[str, Any]:
    """One full ladder, at the butt end of a group of sections."""
    one = group.targets.stations[-1]
    asked = one.working.get("reading", one.working["height"])
    spot = _spot(group, one, rod, show)
    return {
        "title": f"{spot}, step by step",
        "rows": [[rung.step, show.shown(rung.value, rung.unit), rung.rule, rung.source] for rung in asked.ladder()],
    }


def _spot(group: Group, one: StripTarget, rod: Rod, show: Display) -> str:
    """The address of a row, its station as the file gives it or, in a book of the other unit, as the book shows it."""
    place = str(one.place) if show == rod.display else show.station(one.station)
    return f"{group.names[0]}@{place.replace(' ', '')}"


def sources(rod: Rod, show: Display) -> list[str]:
    """Who says so: every rule and constant of the book."""
    return [
        "Plane geometry of regular polygons and of strips: derived and checked by independent construction.",
        "Area, second moment and section modulus of a regular polygon: W. C. Young, R. G. Budynas, Roark's Formulas "
        "for Stress and Strain, 7th ed., 2002, appendix A.",
        "Static stress method, load factor 4, density of cane 0.668 oz/in³: E. E. Garrison, H. B. Carmichael, "
        "A Master's Guide to Building a Bamboo Fly Rod, 1977 (from memory).",
        "Pins in a V: E. Oberg et al., Machinery's Handbook, 31st ed., 2020.",
        "Mass of fly lines by number, first 30 ft: the fly-fishing trade association's published line standard.",
        f"Modulus of the cane: {rod.cane.modulus.source}.",
        f"Density of the varnish, {show.density(rod.varnish_density.value)}: {rod.varnish_density.source}.",
        "V block one degree open, 0.100 in left at roughing, passes of 10, 8, 6 and 4 thou, ferrules in 64ths, one "
        "guide a foot plus one: common practice, no source.",
        "Wood dust: OSHA 29 CFR 1910.1000, NIOSH recommended limits, ACGIH TLV, HSE EH40. Formaldehyde: OSHA "
        "29 CFR 1910.1048.",
    ]
