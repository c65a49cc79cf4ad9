"""The cautions that stand beside the work, by stage: short, plain, and deferring to rules and data sheets."""

from __future__ import annotations

DUST = "Cane dust is harmful to breathe: extraction on, fitted respirator."
EDGES = "Split edges and plane irons cut: hands behind the edge, the strip held fast."
HEAT = "Heat guns, ovens and flames burn, and cane chars: never unattended, extinguisher at hand."
GLUE = "Glue and varnish: the maker's data sheet, gloves and fresh air."
LATHE = "A lathe needs eye protection and no loose sleeves."
LOADED = "Strips and ferrules under load can break and fly: eye protection, nobody in line."

DEFERENCE = (
    "These are the usual cautions, not all of them. Follow the data sheet of each product and your local rules, and "
    "leave to licensed people what is theirs; where a rule and this book disagree, the rule stands."
)

STAGES: tuple[tuple[str, str], ...] = (
    ("Splitting", EDGES),
    (
        "Planing, sanding, scraping",
        f"{DUST} No limit for bamboo dust was found: treat it as hardwood dust. Limits for wood dust in air: 1 mg/m³ "
        "(NIOSH and ACGIH), 3 mg/m³ for hardwood (United Kingdom), 15 mg/m³ total and 5 mg/m³ respirable (OSHA). A "
        "half-mask respirator lowers what you breathe about tenfold, if it fits.",
    ),
    ("Straightening, drying, heat treatment", HEAT),
    (
        "Gluing and varnishing",
        f"{GLUE} Some glues give off formaldehyde (OSHA limit 0.75 ppm). Rags with oil or varnish heat themselves: dry "
        "them flat outdoors or under water in a closed tin.",
    ),
    ("Turning ferrule seats and grips", LATHE),
    ("Bending a strip or a rod", LOADED),
)
