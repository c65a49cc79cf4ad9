"""``culm``, ``layout`` and ``flatten``: keys, exit codes, and words a maker can act on."""

from __future__ import annotations

import pytest

from culmwright.workshop.starting import culm_text, rod_text

INCH = 0.0254


@pytest.fixture
def files(tmp_path):
    (tmp_path / "rod.toml").write_text(rod_text("thrimble-beck"))
    (tmp_path / "culm.toml").write_text(culm_text("k12"))
    return str(tmp_path / "culm.toml"), str(tmp_path / "rod.toml")


def test_layout_keeps_its_keys(files, document):
    culm, rod = files
    found = document("layout", culm, "--rod", rod, "--section", "B", "--apart", 3)
    assert {"slides_m", "ring", "least_distance_m", "least_touching_m", "proved"} <= found.keys()
    assert (found["section"], found["proved"], sorted(found["ring"])) == ("B", True, [0, 1, 2, 3, 4, 5])
    (section,) = found["sections"]
    assert found["slides_m"] == section["slides_m"]
    places = [cut["nodes_m"] for cut in section["cuts"]]
    groups = [cut["group"] for cut in section["cuts"]]
    between = [
        abs(a - b) for i in range(6) for j in range(6) if groups[i] != groups[j] for a in places[i] for b in places[j]
    ]
    assert found["least_distance_m"] == pytest.approx(min(between))
    ring = found["ring"]
    touching = [abs(a - b) for k in range(6) for a in places[ring[k]] for b in places[ring[(k + 1) % 6]]]
    assert found["least_touching_m"] == pytest.approx(min(touching))


def test_a_whole_rod_is_laid_out(files, run):
    culm, rod = files
    code, out, err = run("layout", culm, "--rod", rod, "--apart", 3)
    assert code == 0
    assert err == ""
    assert [line.split(",")[0] for line in out.splitlines() if line.startswith("Section")] == [
        "Section T1",
        "Section T2",
        "Section B",
    ]
    assert "proved best, in steps of half a millimetre" in out
    assert "three and three" in out


def test_a_section_by_its_length(files, document):
    found = document("layout", files[0], "--length", "45", "--trim", "6", "--strips", 4, "--apart", 2)
    assert len(found["slides_m"]) == 4
    assert found["parted"] is None


def test_the_starter_goes_straight_to_a_layout(tmp_path, run):
    culm, rod = tmp_path / "my-culm.toml", tmp_path / "my-rod.toml"
    code, out, _ = run("new", culm, "--of", "culm")
    assert (code, out) == (
        0,
        f"A starter culm is in {culm}. Change its numbers, then: culmwright layout {culm} --rod my-rod.toml\n",
    )
    assert run("new", rod)[0] == 0
    assert run("layout", culm, "--rod", rod, "--section", "T1", "--apart", 3)[0] == 0


def test_culm_says_which_lengths_give_what(files, run, document):
    culm, rod = files
    code, out, _ = run("culm", culm, "--rod", rod)
    assert code == 0
    assert out.startswith("There is cane enough for Thrimble Beck 7 ft 6 in.")
    assert "7 for T1, 7 for T2" in out
    assert "Which length serves which section is a rule of this program" in out
    found = document("culm", culm, "--rod", rod)
    assert [one["strips"] for one in found["needs"]] == [6, 6, 6]
    assert found["short"] == []


def test_too_little_cane_is_answered_with_no(files, tmp_path, run):
    small = tmp_path / "small.toml"
    small.write_text(culm_text("k12").replace("end = 142", "end = 120"))
    code, out, _ = run("culm", small, "--rod", files[1])
    assert code == 1
    assert out.startswith(
        "Not every section of Thrimble Beck 7 ft 6 in gets its strips.\n"
        "No: T1 lacks 6 of its strips; its strips are 51.00 in (1295.4 mm) long, the longest length 50.00 in "
        "(1270.0 mm)."
    )
    code, _, err = run("layout", small, "--rod", files[1])
    assert code == 1
    assert "section T1: 6 of 6 strips are missing" in err


def test_a_length_kept_for_others_is_not_called_too_little_cane(files, tmp_path, run):
    kept = tmp_path / "kept.toml"
    kept.write_text(culm_text("k12").replace('"T1"', '"T3"'))
    assert kept.read_text() != culm_text("k12")
    code, out, _ = run("culm", kept, "--rod", files[1])
    assert code == 1 and "cane enough" not in out
    assert "No: T1 lacks 6 of its strips; no length is kept for it (put T1 among the sections of one)." in out
    code, _, err = run("layout", kept, "--rod", files[1])
    assert code == 1 and "put T1 among the sections of one" in err


def test_strips_of_one_width(files, run, document):
    found = document("culm", files[0], "--width", "1/4")
    assert [one["strips"] for one in found["lengths"]] == [26, 23]
    _, out, _ = run("culm", files[0], "--width", "6 mm", "--units", "metric")
    assert out.startswith("K12, 3657.6 mm, in strips of 6.000 mm:")


def test_keeping_enters_the_culm_and_the_layout_in_the_shop(files, tmp_path, run):
    from culmwright.ledger.dockets import dockets
    from culmwright.ledger.shop import open_shop

    culm, rod = files
    shop = tmp_path / "shop.sqlite"
    assert run("layout", culm, "--rod", rod, "--apart", 3, "--keep", "--shop", shop)[0] == 0
    assert run("culm", culm, "--rod", rod, "--keep", "--shop", shop)[0] == 0
    assert run("layout", culm, "--rod", "R1", "--section", "B", "--apart", 3, "--keep", "--shop", shop)[0] == 0
    with open_shop(shop, write=False) as opened:
        assert [(one.kind, one.section) for one in dockets(opened)] == [
            ("culm", None),
            ("layout", "T1"),
            ("layout", "T2"),
            ("layout", "B"),
        ]


@pytest.mark.parametrize(("spot", "thou"), [("1/2", 3.1), ("5/8", 4.9), ("3/4", 7.0)])
def test_flatten_both_ways(document, spot, thou):
    deep = document("flatten", "--bend", "10", "--spot", spot)["deep_m"]
    assert deep / INCH * 1000 == pytest.approx(thou, abs=0.05)
    back = document("flatten", "--bend", "10 in", "--depth", f"{deep * 1e6:.6f} µm")["spot_m"]
    assert back == pytest.approx(eval(spot) * INCH, rel=1e-6)


def test_flatten_says_what_it_costs(files, run):
    code, out, _ = run(
        "flatten",
        "--bend",
        "10",
        "--spot",
        "5/8",
        "--proud",
        "20 thou",
        "--rod",
        files[1],
        "--at",
        30,
        "--wall",
        0.3,
    )
    assert code == 0
    assert "4.9 thou below the enamel" in out
    assert "The ridge lost 24.9 thou with it." in out
    assert "of its bending stiffness" in out
    assert "Dixon & Gibson 2014" in out


def test_a_spot_within_the_ridge_has_no_depth(run):
    code, out, _ = run("flatten", "--bend", "10", "--spot", "1/4", "--ridge", "3/8")
    assert code == 0
    assert "below" not in out
    assert "only ridge was taken" in out


@pytest.mark.parametrize(
    ("argv", "sentence"),
    [
        (("layout", "CULM"), "one of the arguments --rod --length is required"),
        (("layout", "CULM", "--rod", "ROD", "--apart", "4"), "invalid choice: 4"),
        (("layout", "CULM", "--rod", "ROD", "--trim", "-1"), "--trim: -1 in is too short"),
        (("layout", "CULM", "--rod", "ROD", "--ferrule", "two"), '--ferrule: "two" cannot be read as a length'),
        (("layout", "CULM", "--length", "45", "--keep"), "a section without a rod has no name and is not kept"),
        (("layout", "gone.toml", "--rod", "ROD"), "gone.toml: there is no such file"),
        (("layout", "ROD", "--rod", "ROD"), "this is a rod file, not a culm file"),
        (("culm", "CULM"), "one of the arguments --rod --width is required"),
        (("culm", "CULM", "CULM", "--width", "1/4"), "--width: a width is counted in one culm"),
        (("culm", "CULM", "--width", "1.95 in"), "strips of a ring: the strip is as wide as the culm"),
        (("flatten", "--bend", "10"), "one of the arguments --spot --depth is required"),
        (("flatten", "--bend", "1", "--spot", "5"), "spot: the spot is longer than the bent strip is wide"),
        (("flatten", "--bend", "10", "--depth", "11"), "--depth: no node is sanded 11 in deep"),
        (
            ("flatten", "--bend", "10", "--spot", "1", "--rod", "ROD"),
            "a station and the culm's wall are wanted with a rod",
        ),
        (
            ("flatten", "--bend", "10", "--spot", "1", "--rod", "ROD", "--at", "99", "--wall", "0.3"),
            "--at: the rod has no such station",
        ),
    ],
)
def test_what_cannot_be_used_is_refused_in_a_sentence(files, run, argv, sentence):
    named = {"CULM": files[0], "ROD": files[1]}
    code, out, err = run(*(named.get(one, one) for one in argv))
    assert code == 2
    assert out == ""
    assert sentence in err
    assert "Traceback" not in err


def test_what_is_kept_is_said_and_the_rod_it_made_is_named(files, tmp_path, run):
    culm, rod = files
    shop = ["--shop", tmp_path / "shop.sqlite", "--keep"]
    _, _, err = run("culm", culm, "--rod", rod, *shop)
    assert f"note: {culm}: culm K12 is kept in the shop" in err
    _, _, err = run("layout", culm, "--rod", rod, "--section", "B", "--apart", 3, *shop)
    assert f"note: {rod}: the drawing is frozen in this shop as R1.1" in err
    assert f"note: {rod}: the layout of B is kept, of R1.1" in err


def test_zero_and_trial_can_be_the_first_things_of_a_shop(tmp_path, run):
    """As the guide has them, before anything was read."""
    pins = ["--pin", "0.125=0.4421", "--pin", "0.1875=0.5350", "--pin", "0.25=0.6278", "--kind", "micrometer"]
    code, _, err = run("gauge", "zero", *pins, "--keep", "--shop", tmp_path / "one.sqlite")
    assert (code, "note: the zero of a block of 61 deg is kept in the shop" in err) == (0, True)
    shop = ["--shop", tmp_path / "two.sqlite"]
    code, out, _ = run("gauge", "enter", "--gauge", "G1", "--units", "inch", *shop)
    assert (code, out) == (0, "Gauge G1 is in the shop; it shows inches.\n")
    trial = ["--gauge", "G1", "--kind", "micrometer", "--reference", "0.2500", "--shown", "0.2501"]
    code, out, _ = run("gauge", "try", *trial, *shop)
    assert (code, out.startswith("Trial 1: G1 shows 0.10 thou high")) == (0, True)
    code, _, err = run("gauge", "enter", "--gauge", "G1", "--units", "metric", *shop)
    assert (code, "was declared to show in" in err) == (2, True)
    code, _, err = run("gauge", "enter", "--gauge", "G2", *shop)
    assert (code, "--units" in err) == (2, True)
