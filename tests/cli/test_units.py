"""A maker who works in millimetres is answered in them, and a bare number is never silently an inch that cannot be."""

from __future__ import annotations

import json
import re

import pytest

from culmwright.ledger.register import add_gauge
from culmwright.workshop.opening import begin, the_shop
from culmwright.workshop.starting import culm_text, rod_text, shop_rig_text

INCH = 0.0254
METRIC_ROD, INCH_ROD = "pellamere-brook.toml", "thrimble-beck.toml"


@pytest.fixture
def here(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("CULMWRIGHT_SHOP", str(tmp_path / "shop.sqlite"))
    for name in (METRIC_ROD, INCH_ROD):
        (tmp_path / name).write_text(rod_text(name.removesuffix(".toml")))
    (tmp_path / "culm.toml").write_text(culm_text("k12"))
    (tmp_path / "bed.toml").write_text(shop_rig_text("quiet-bed"))
    return tmp_path


@pytest.fixture
def said(run):
    def told(*argv, code=0):
        found, out, err = run(*argv)
        assert found == code, err
        return out

    return told


AS_TYPED = [
    (("passes", "--now", "7,1 mm", "--target", "4,03 mm"), "From 7.100 mm to 4.030 mm"),
    (("passes", "--now", "7.1 mm", "--target", "4.03"), "From 7.100 mm to 4.030 mm"),
    (("passes", "--now", "7.1", "--target", "4.03", "--units", "metric"), "From 7.100 mm to 4.030 mm"),
    (("passes", "--now", "0.28", "--target", "0.16"), "From 0.2800 in to 0.1600 in"),
    (("passes", "--now", "7.112 mm", "--target", "4.064 mm", "--units", "inch"), "From 0.2800 in to 0.1600 in"),
    (("flatten", "--bend", "250 mm", "--spot", "16 mm"), "A spot 16.000 mm long"),
    (("flatten", "--bend", "10", "--spot", "5/8"), "A spot 0.6250 in long"),
    (("flatten", "--bend", "250", "--spot", "16", "--rod", METRIC_ROD, "--at", "200", "--wall", "8"), "200 mm"),
    (("flatten", "--bend", "10 in", "--spot", "16 mm", "--rod", INCH_ROD, "--at", "9", "--wall", "0.3"), "9 in"),
    (("dry", "--room", "21 C", "--humidity", "50%"), "In air of 21 °C and 50%"),
    (("dry", "--room", "70 F", "--humidity", "50%"), "In air of 70 °F and 50%"),
    (("heat", "--step", "180 C for 10 min"), "5.080 mm high"),
    (("heat", "--step", "180 C for 10 min"), "Above 132 °C the published table"),
    (("heat", "--step", "350 F for 10 min"), "Above 270 °F the published table"),
    (("fit", "--insert", "hdpe", "--bed", "steel", "--length", "1.3 m", "--made-at", "21 C", "--now", "9 C"), "9 °C"),
    (("gauge", "zero", "--pin", "6 mm=15.07 mm"), "The block's zero is"),
    (("gauge", "doubt", "--step", "0.01 mm"), "one sigma, mm"),
    (("gauge", "doubt", "--step", "0.0005"), "one sigma, thou"),
]


@pytest.mark.parametrize(("argv", "words"), AS_TYPED)
def test_the_answer_is_in_the_unit_typed_or_the_files(here, said, argv, words):
    assert words in said(*argv)


BED = """culmwright = 1
units = "metric"
[rig]
name = "Bed"
length = 1300
[adjusters]
places = [20, 220, 420, 620, 820, 1020, 1280]
pitch = 1
opens = "clockwise"
[bed]
stop = 6.0
dial = "down"
division = 0.02
zero = 0
[insert]
material = "HDPE"
bed = "aluminium"
fixed = 0
fitted = "21 C"
"""


def test_a_bed_file_is_answered_in_its_own_unit(here, said):
    assert "At 86 °F" in said("fit", "bed.toml", "--now", "30 C")
    (here / "metric.toml").write_text(BED)
    metric = said("fit", "metric.toml", "--now", "86 F")
    assert "At 30 °C, 9 °C warmer" in metric and "1280 mm" in metric and "Bring the HDPE alone" in metric
    assert "°F" not in metric and " thou" not in metric
    assert "At 86 °F" in said("fit", "metric.toml", "--now", "30 C", "--units", "inch")


def test_one_spot_is_as_deep_in_either_unit(here, document):
    """The same node, typed in mm and in inches: 250 mm over 25.4 exactly (international inch, 1959)."""
    mm = document("flatten", "--bend", "254 mm", "--spot", "15.875 mm")
    inch = document("flatten", "--bend", "10", "--spot", "5/8")
    assert mm["deep_m"] == pytest.approx(inch["deep_m"], rel=1e-12)


REFUSED = [
    (
        ("passes", "--now", "7.1", "--target", "4.03"),
        "no strip of a rod is 7.1 in high. Look at its unit: write 7.1 mm",
    ),
    (("passes", "--now", "0.19", "--target", "0.09", "--units", "metric"), "write 0.19 in, or add --units inch"),
    (("flatten", "--bend", "250", "--spot", "16"), "--bend: no strip is bent to a radius of 250 in"),
    (("flatten", "--bend", "10", "--spot", "16"), "--spot: no flat spot of a node is 16 in long"),
    (("flatten", "--bend", "10", "--spot", "1", "--wall", "8"), "--wall: no culm's wall is 8 in thick"),
    (("heat", "--step", "350 F for 9 min", "--height", "4"), "--height: no strip of a rod is 4 in high"),
    (("dry", "--room", "70 F", "--humidity", "50%", "--height", "4"), "--height: no strip of a rod is 4 in high"),
    (("culm", "culm.toml", "--width", "9"), "--width: no raw strip is 9 in wide. Look at its unit: write 9 mm"),
    (("gauge", "zero", "--pin", "6=15.07"), "--pin: no pin in a block for strips is 6 in across"),
    (("gauge", "zero", "--pin", "0.25=15.07"), "--pin: no gauge over a strip reads 15.07 in"),
    (("gauge", "zero", "--master", "4=10"), "--master: no strip of a rod is 4 in high"),
    (("survey", "old.csv"), "old.csv, line 1: no rod is 1.74 in across. Look at its unit: write 1.74 mm"),
    (("survey", "thin.csv"), "thin.csv, stations: no rod is 1400 in long. Look at its unit: write 1400 mm"),
    (("gauge", "study", "--file", "study.csv"), "study.csv, line 2: no gauge over a strip reads 8.011 in"),
]
OLD = "0;1,74;1,76\n100;2,00;2,03\n200;2,24;2,26\n1400;4,80;4,82\n"
STUDY = "hand;strip;trial;reading\n" + "".join(
    f"{hand};{strip};{trial};8,0{strip}{trial + shift}\n"
    for hand, shift in (("Ann", 0), ("Ben", 1))
    for strip in (1, 2, 3)
    for trial in (1, 2)
)


def tables(folder):
    (folder / "old.csv").write_text(OLD)
    (folder / "spaced.txt").write_text(OLD.replace(";", " "))
    (folder / "thin.csv").write_text("0,0.07,0.07\n700,0.1,0.1\n1400,0.2,0.2\n")
    (folder / "study.csv").write_text(STUDY)


@pytest.mark.parametrize(("argv", "sentence"), REFUSED)
def test_a_bare_number_that_can_be_no_inch_is_asked_about(here, run, argv, sentence):
    tables(here)
    code, out, err = run(*argv)
    assert (code, out) == (2, "")
    assert sentence in err


def test_tables_with_decimal_commas_are_read_alike(here, document, said):
    tables(here)
    (here / "inch.csv").write_text(OLD.replace(";", " mm;").replace("\n", " mm\n"))
    by = [document("survey", name, "--units", "metric") for name in ("old.csv", "spaced.txt")]
    by.append(document("survey", "inch.csv"))
    assert by[0] == by[1] == by[2]
    assert by[0]["stations"][-1]["read_m"] == pytest.approx(4.81e-3)
    assert "read, mm" in said("survey", "inch.csv")
    study = document("gauge", "study", "--file", "study.csv", "--units", "metric")
    assert (study["hands"], study["strips"], study["trials"]) == (2, 3, 2)
    (here / "quoted.csv").write_text(re.sub(r"(8,\d+)", r'"\1"', STUDY).replace(";", ","))
    assert document("gauge", "study", "--file", "quoted.csv", "--units", "metric") == study


def test_readings_of_a_study_stand_under_a_head_each(here, run):
    (here / "study.csv").write_text(STUDY.replace(";", ","))  # 8,011 in two cells
    code, _, err = run("gauge", "study", "--file", "study.csv", "--units", "metric")
    assert code == 2 and "line 2: 5 cells stand under 4 heads" in err


def test_a_survey_beside_a_rod_of_the_shop_is_in_its_unit(here, said):
    tables(here)
    with the_shop(start=True) as shop:
        begin(shop, METRIC_ROD)
    assert "drawn, mm" in said("survey", "old.csv", "--beside", "R1")
    assert "drawn, mm" in said("survey", "old.csv", "--beside", METRIC_ROD)


def test_a_rod_of_the_shop_is_taken_by_every_verb_of_the_cane(here, run):
    with the_shop(start=True) as shop:
        begin(shop, INCH_ROD)
    for argv in (
        ("layout", "culm.toml", "--section", "B"),
        ("culm", "culm.toml"),
        ("flatten", "--bend", "10", "--spot", "5/8", "--at", "9", "--wall", "0.3"),
    ):
        of_shop, of_file = (run(*argv, "--rod", rod) for rod in ("R1", INCH_ROD))
        assert of_shop[:2] == of_file[:2] and of_shop[1]


@pytest.mark.parametrize(("rods", "unit"), [((METRIC_ROD,), "mm"), ((INCH_ROD, METRIC_ROD), "mm"), ((INCH_ROD,), "in")])
def test_what_the_shop_learns_is_said_in_the_unit_of_its_rods(here, rods, unit):
    from culmwright.workshop.learning import usual_display

    with the_shop(start=True) as shop:
        for rod in rods:
            begin(shop, rod)
        assert usual_display(shop).bare == unit


def test_most_rods_decide_not_the_newest(here):
    from culmwright.workshop.learning import usual_display

    with the_shop(start=True) as shop:
        begin(shop, METRIC_ROD)
        other = here / "other.toml"
        other.write_text(rod_text("pellamere-brook").replace("Pellamere Brook", "Second Brook"))
        begin(shop, str(other))
        begin(shop, INCH_ROD)
        assert usual_display(shop).bare == "mm"


@pytest.fixture
def gauges(here):
    with the_shop(start=True) as shop:
        add_gauge(shop, "Mic", "mm")
        add_gauge(shop, "Dial", "in")


def test_a_trial_counts_in_the_unit_the_gauge_shows(gauges, run, document, said):
    tried = document("gauge", "try", "--gauge", "Mic", "--reference", "6", "--shown", "6.01")
    assert (tried["trial"], tried["reference"], tried["shown"]) == (1, pytest.approx(6e-3), pytest.approx(6.01e-3))
    tried = document("gauge", "try", "--gauge", "Dial", "--reference", "0.25", "--shown", "0.2502")
    assert tried["reference"] == pytest.approx(0.25 * INCH)
    out = said("gauge", "try", "--gauge", "Mic", "--reference", "6", "--shown", "6.002")
    assert out.startswith("Trial 3: Mic shows 0.0020 mm high at 6.000 mm")
    assert run("gauge", "try", "--gauge", "Mic", "--reference", "0.25 in", "--shown", "0.2502")[0] == 2


def test_a_trial_can_be_taken_back(gauges, run, said):
    from culmwright.ledger.dockets import dockets
    from culmwright.workshop.gauging import BACK, records

    for shown in ("6.01", "6.002"):
        said("gauge", "try", "--gauge", "Mic", "--reference", "6", "--shown", shown)
    out = said("gauge", "try", "--take-back", 1, "--why", "dirty anvil")
    assert out == "Trial 1 is taken back: 6.01 mm on a reference of 6 mm.\n"
    code, _, err = run("gauge", "try", "--take-back", 1)
    assert code == 2 and "there is no trial 1 of a gauge. Nothing was taken back; the trials are 2." in err
    with the_shop(write=False) as shop:
        mic = next(one for one in records(shop) if one.name == "Mic")
        assert [number for number, _, _ in mic.tried] == [2]
        (docket,) = dockets(shop, BACK)
        assert json.loads(docket.text) == {"trial": 1, "why": "dirty anvil"}
    assert run("gauge", "zero", "--take-back", 1)[0] == 2


def test_loads_are_in_what_the_maker_hangs(here, document, said):
    """In grams on a metric rod, in ounces on one in inches; in newtons in the document: 9.80665 N/kg (CGPM 1901)."""
    metric = said("bend", METRIC_ROD, "--load", "50 g")
    assert "load, g" in metric and "Under 50 g hanging" in metric and " N" not in metric.split("\n\n")[0]
    assert document("bend", METRIC_ROD, "--load", "50 g")["load_n"] == pytest.approx(0.050 * 9.80665)
    assert "Under 1 oz hanging" in said("bend", INCH_ROD, "--load", "1 oz")
    assert "under a line at 50 g" in said("guides", METRIC_ROD)
    assert "under a line at 2 oz" in said("guides", INCH_ROD)


@pytest.mark.parametrize(("rod", "unit", "other"), [(INCH_ROD, "Mpsi", "GPa"), (METRIC_ROD, "GPa", "Mpsi")])
def test_moduli_that_contradict_are_told_in_the_unit_of_the_table(here, said, rod, unit, other):
    with the_shop(start=True) as shop:
        begin(shop, rod)
    for seconds in ("17.6", "21.4"):
        out = said("modulus", "R1", "--swings", "30", "--seconds", seconds)
    noted = next(line for line in out.splitlines() if "contradict one another" in line)
    assert noted.count(f" {unit} by") == 2 and other not in out


WEIGHED = "2026-06-01 08:00;{0}\n2026-06-02 08:00;380,1 g\n2026-06-03 08:00;362,0 g\n2026-06-04 08:00;352,2 g\n"


def test_weighings_typed_in_two_units_are_shown_in_one(here, said):
    (here / "grams.csv").write_text(WEIGHED.format("412,3 g"))
    (here / "mixed.csv").write_text(WEIGHED.format("14,54 oz"))
    grams = said("dry", "grams.csv")
    assert "mass, g" in grams and "lost, g" in grams and " oz" not in grams
    mixed = said("dry", "mixed.csv")
    assert "412.2 (14,54 oz)" in mixed and "380.1" in mixed  # 14.54 * 28.349523125 g
    lost = [line.split()[-1] for line in mixed.splitlines() if re.match(r" *2026-06-0[234]", line)]
    assert lost == ["32.1", "18.1", "9.8"]  # by hand, from 412.20 g
    inch = said("dry", "mixed.csv", "--units", "inch")
    assert "mass, oz" in inch and "(380,1 g)" in inch


def test_a_file_with_blanks_in_its_name_wants_quotes(here, run):
    (here / "penta 24.toml").write_text(rod_text("pellamere-brook"))
    (here / "my old culm.toml").write_text(culm_text("k12"))
    code, _, err = run("check", "penta", "24.toml")
    assert code == 2
    assert err.endswith('unrecognized arguments: 24.toml. Put the name of the file in quotes: "penta 24.toml".\n')
    code, _, err = run("culm", "my", "old", "culm.toml", "--width", "0.3")
    assert code == 2 and err.endswith(
        'there is no such file. Put the name of the file in quotes: "my old culm.toml".\n'
    )
    code, _, err = run("check", "penta", "25.toml")
    assert code == 2 and err.endswith("unrecognized arguments: 25.toml. See culmwright --help.\n")


def test_a_file_of_another_kind_is_called_what_it_is(here, run):
    for argv, words in (
        (
            ("strips", "culm.toml"),
            "culm.toml, [culm]: this is a culm file, not a rod file. Give the file that begins with",
        ),
        (("strips", "bed.toml"), "bed.toml, [rig]: this is a rig file, not a rod file."),
        (("settings", INCH_ROD, "--rig", "culm.toml", "--section", "B"), "this is a culm file, not a rig file."),
        (("culm", "bed.toml", "--width", "0.3"), "this is a rig file, not a culm file."),
    ):
        code, _, err = run(*argv)
        assert code == 2 and words in err


METRIC_SLIPS = [
    (r"\[cane\]", '[cane]\ndensity = "1150"', "Write it like 1155 kg/m^3."),
    (r"\[cane\]", '[cane]\ndensity = "1150 mm"', "mm does not measure a density. Write it like 1155 kg/m^3."),
    (r"across = \[[^]]*\]", "across = 3", "Write across = [0, 125, 250]."),
    (r"across = \[[^]]*\]", 'across = ["a"]', "Write it like 9.19 mm, 76 cm or 2.29 m."),
    (r"length = [^\n]*", "length = true", 'a text with its unit such as "9.19 mm".'),
    (r"\nlength = [^\n]*", "", 'Add a line such as length = "2.29 m"'),
    (r"size = \d+", "size = 9.5", "9.5 is not a whole number from 3 to 64: it counts 64ths of an inch."),
]


@pytest.mark.parametrize(("old", "new", "words"), METRIC_SLIPS)
def test_a_metric_file_is_put_right_in_metric(here, run, old, new, words):
    (here / "slip.toml").write_text(re.sub(old, new, rod_text("pellamere-brook"), count=1))
    code, _, err = run("check", "slip.toml")
    assert code == 2 and words in err and "7 ft 6 in" not in err


def test_decimal_commas_in_a_list_are_told_from_values_too_many(here, run):
    text = rod_text("pellamere-brook")
    across = re.search(r"(?ms)^across = \[(.*?)\]", text)[1]
    (here / "comma.toml").write_text(text.replace(across, across.replace(".", ","), 1))
    _, _, err = run("check", "comma.toml")
    assert "there are 19 stations and 38 across" in err
    assert "with a decimal point, 1.75: in a list a comma only parts two numbers." in err
    (here / "one.toml").write_text(text.replace(across, across + ", 5.5", 1))
    _, _, err = run("check", "one.toml")
    assert "there are 19 stations and 20 across. Give one across for each station." in err


def test_what_came_in_quotation_marks_is_refused_in_one_pair(capsys):
    from culmwright.bench.gauge import read_typed
    from culmwright.measure.errors import BadInput

    with pytest.raises(BadInput, match=re.escape('"9,99" cannot be read')) as refusal:
        read_typed('"9,99"', "mm")
    assert '""' not in str(refusal.value)


def test_places_and_long_lengths_are_rounded_as_a_rule_is_read(here, said):
    """800 mm is 31.496 in, 1680 mm 5 ft 6.142 in (25.4 mm to the inch); 14 7/8 in stands whole."""
    from culmwright.measure.display import INCH_DISPLAY, METRIC_DISPLAY

    assert INCH_DISPLAY.station(0.8) == "31.5 in" and INCH_DISPLAY.long(1.68) == "5 ft 6.14 in"
    assert INCH_DISPLAY.station(14.875 * INCH) == "14.875 in"
    assert METRIC_DISPLAY.guide(0.25382) == "254 mm" and METRIC_DISPLAY.guide(1.1052) == "1105 mm"
    rows = said("guides", METRIC_ROD).splitlines()
    places = [row.split()[1] for row in rows if re.match(r" +[0-9] ", row)]
    assert places and all(place.isdigit() for place in places)
    assert not re.search(r"[0-9]\.[0-9]{2}", "\n".join(rows[2:14]))  # turns to a tenth of a degree, places whole


@pytest.mark.parametrize("name", ["inch", "metric"])
def test_the_chart_of_a_proof_is_no_magnifying_glass(name):
    """A rod a micron off its drawing is drawn on a scale of half a thou, 12.7 um, either way, in either unit."""
    from types import SimpleNamespace

    from culmwright.book.proof_leaves import across_chart
    from culmwright.book.ruler import Ruler
    from culmwright.measure.display import DISPLAYS

    across = SimpleNamespace(off=1e-6, low=0.004, high=0.004001, drawn=0.004)
    one = SimpleNamespace(station=0.1, section="B", measured=True, across=across, directions=(0.004001,))
    show = DISPLAYS[name]
    chart = across_chart(SimpleNamespace(stations=(one, one)), Ruler(2.0, 400.0, 20.0, 20.0), show)
    (low, high), *_ = {
        tuple(layer["encoding"]["y"]["scale"]["domain"]) for layer in chart["layer"] if "x" in layer["encoding"]
    }
    assert -low == high == pytest.approx(1.08 * 12.7e-6 / show.small.si)
