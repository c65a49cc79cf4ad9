"""What is drawn can be read: words of a layout do not run into one another, a strip far off does not hide the others.

Words are measured by the mean advance width of Source Sans Pro, 0.49 of their size (OpenType, table hmtx); a style
sheet sets those of a page at the sizes below (web/look/sheet.css).
"""

from __future__ import annotations

from itertools import combinations, pairwise
from xml.etree import ElementTree

import pytest

from culmwright.book.bench_charts import deviations
from culmwright.book.layout_drawing import strips_view
from culmwright.book.ruler import Ruler
from culmwright.book.words import unsaid
from culmwright.cane.layout import Cut, KeptClear, SectionLayout
from culmwright.measure.display import INCH_DISPLAY, METRIC_DISPLAY

LETTER = 0.49
SIZES = {358.0: 12.0, 493.0: 10.0, 952.0: 16.0}  # [pt] of words, by the width of the drawing


def laid_out(off_tip, off_butt, length=1.05):
    """Six strips with long offcuts, the zones of a tip."""
    nodes = tuple(0.1 + 0.3 * i for i in range(4) if 0.1 + 0.3 * i < length)
    cuts = tuple(
        Cut(
            line=n,
            number=n,
            strip=f"K12-tip/{n + 8}",
            source="K12-tip",
            group=n,
            from_butt=off_butt,
            from_tip=off_tip,
            length=length,
            nodes=nodes,
        )
        for n in range(1, 7)
    )
    zones = (
        KeptClear(why="the tip end", start=0.0, end=0.1),
        KeptClear(why="a ferrule", start=length - 0.06, end=length),
    )
    return SectionLayout(
        section="T1",
        share=1,
        slides=(0.0,) * 6,
        ring=(1, 2, 3, 4, 5, 6),
        least_distance=0.06,
        least_touching=0.1,
        least_any=0.0,
        distance_bound=0.06,
        touching_bound=0.1,
        proved=True,
        sparing_proved=True,
        length=length,
        trim=0.15,
        step=0.0005,
        room=3.6,
        cuts=cuts,
        kept_clear=zones,
    )


def boxes(drawing, size):
    """(words, left, right, top, baseline) of every text."""
    found = []
    for text in ElementTree.fromstring(drawing).iter("{http://www.w3.org/2000/svg}text"):
        words = "".join(text.itertext())
        wide = LETTER * size * len(words)
        left = float(text.get("x")) - {"start": 0.0, "middle": wide / 2, "end": wide}[text.get("text-anchor")]
        found.append((words, left, left + wide, float(text.get("y")) - 0.7 * size, float(text.get("y"))))
    return found


def run_together(drawing, size):
    """Pairs of words that cover one another."""
    return [
        (one[0], two[0])
        for one, two in combinations(boxes(drawing, size), 2)
        if one[1] < two[2] and two[1] < one[2] and one[3] < two[4] and two[3] < one[4]
    ]


@pytest.mark.parametrize("width", SIZES)
@pytest.mark.parametrize("show", [INCH_DISPLAY, METRIC_DISPLAY], ids=["inch", "metric"])
@pytest.mark.parametrize("off", [(0.0, 0.01), (0.1, 0.5), (2.148, 0.402)])
def test_words_of_a_layout_stand_apart(width, show, off):
    drawing = strips_view(laid_out(*off), 1.05, Ruler(2.1, width), show)
    assert len(boxes(drawing, SIZES[width])) > 15
    assert run_together(drawing, SIZES[width]) == []


@pytest.mark.parametrize("off", [(0.0, 0.01), (0.1, 0.5), (2.148, 0.402)])
def test_a_section_takes_most_of_the_drawing_however_long_the_cane(off):
    drawing = strips_view(laid_out(*off), 0.0, Ruler(2.1, 952.0), METRIC_DISPLAY)
    places = {words: left for words, left, *_ in boxes(drawing, 10.0)}
    assert places["1000"] - places["0"] > 0.6 * 952.0 * 1.0 / 1.05


def chart(far):
    """The chart of six strips within 2 thou, the last of them ``far`` under."""
    places = [(f"S{n}", station, 0.3 * n - 1) for n in range(1, 6) for station in (0.0, 5.0, 45.0)]
    places += [("S6", station, -far) for station in (0.0, 5.0, 45.0)]
    return deviations(Ruler(2.286, 358.0), places, (-1.0, None), station_of=0.0254, ticks=[])


def layer(spec, mark):
    """The rows of the layers with a mark."""
    kinds = [(one["mark"] if isinstance(one["mark"], str) else one["mark"]["type"], one) for one in spec["layer"]]
    return [one for kind, one in kinds if kind == mark]


def test_a_strip_far_off_leaves_the_others_to_be_seen():
    spec = chart(100.0)
    low, high = layer(spec, "line")[0]["encoding"]["y"]["scale"]["domain"]
    assert high - low < 12.0, "the others lie within 1.5 either side"
    assert all(low <= row["value"] <= high for row in spec["data"]["values"])
    assert "S6 to -100" in [row["words"] for one in layer(spec, "text")[1:] for row in one["data"]["values"]]
    assert len(layer(chart(0.5), "text")) == 1, "nothing far off, nothing to say"


def test_each_strip_is_named_at_the_end_of_its_line():
    spec = chart(0.5)
    names = layer(spec, "text")[0]["data"]["values"]
    low, high = layer(spec, "line")[0]["encoding"]["y"]["scale"]["domain"]
    assert sorted(row["strip"] for row in names) == [f"S{n}" for n in range(1, 7)]
    apart = sorted(row["at"] / (high - low) * spec["height"] for row in names)
    assert min(b - a for a, b in pairwise(apart)) >= 10.0
    assert all(row["station"] == 45.0 for row in names)


def test_names_of_lines_that_end_at_the_bottom_stay_on_the_chart():
    places = [(f"S{n}", station, 0.0) for n in range(1, 6) for station in (0.0, 45.0)]
    places += [("S6", station, 3.0) for station in (0.0, 45.0)]
    spec = deviations(Ruler(2.286, 358.0), places, (None, None), station_of=0.0254, ticks=[])
    low, high = layer(spec, "line")[0]["encoding"]["y"]["scale"]["domain"]
    assert all(low <= row["at"] <= high for row in layer(spec, "text")[0]["data"]["values"])


def test_a_caution_stands_once_on_a_page():
    said = "Split edges cut. Hands behind the edge."
    assert (
        unsaid("Split edges cut. Cane dust is harmful: extraction on.", said) == "Cane dust is harmful: extraction on."
    )
    assert unsaid(said, said) == "" and unsaid(said, "") == said
