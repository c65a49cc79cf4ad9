"""Stated 95 % intervals cover the known truth of simulated rods whose strips are of unlike cane, some of them bent by
themselves: 89 to 99 of 100, for every kind of figure (binomial distribution, as in ``tests/proof/test_coverage.py``).
"""

from __future__ import annotations

import sys
from collections import Counter
from math import hypot
from pathlib import Path

import numpy as np
import pytest

from culmwright.design.rod import Stated
from culmwright.measure.quantities import STANDARD_GRAVITY
from culmwright.proof.built import built_of
from culmwright.proof.comparison import compare
from culmwright.proof.doubt import usual
from culmwright.proof.modulus import Measured
from culmwright.proof.section import stiffness
from culmwright.proof.spread import COVERED
from culmwright.proof.unlike import unlike
from culmwright.proof.yard import yardstick

sys.path.insert(0, str(Path(__file__).parents[1] / "proof"))
from simulated import simulate, true_figures

SEEDS = 100
LOAD = STANDARD_GRAVITY * 0.028349523125  # an ounce [N]
STRIPS = 0.06  # strips of a section scatter by this about its cane
CULMS = 0.05  # the cane of one section by this about the other's
OWN, COMMON = 0.02, 0.02  # a test of one strip, and caliper and span of all of them
NODES = (2, 5, 8, 13, 17)


@pytest.fixture(scope="module", params=[6, 4], ids=["all bent", "four of six"])
def counted(request):
    from culmwright.design.rod_file import rod_from_text
    from culmwright.workshop.starting import rod_text

    rod, found, answer = rod_from_text(rod_text("thrimble-beck")), Counter(), None
    doubt = usual(rod)
    for seed in range(SEEDS):
        rng = np.random.default_rng(1000 + seed)
        truth, read = simulate(rod, doubt, seed)
        names = list(read.parts)
        E = [30e9 * (1 + CULMS * rng.standard_normal()) * (1 + STRIPS * rng.standard_normal(6)) for _ in names]
        common = 1 + COMMON * rng.standard_normal()
        tests = {
            (name, i + 1): (
                Measured(
                    E[k][i] * common * (1 + OWN * rng.standard_normal()),
                    E[k][i] * hypot(OWN, COMMON),
                    E[k][i] * COMMON,
                ),
            )
            for k, name in enumerate(names)
            for i in range(request.param)
        }
        cane = unlike(tests, {name: range(1, 7) for name in names})
        built = built_of(rod, read.parts, doubt, 1, cane)
        modulus = Stated(cane.level.value, "strips", cane.level.spread)
        yard = yardstick(built, LOAD, modulus, answer)
        answer = yard.answer
        proof = compare(built, LOAD, modulus, draws=0, yard=yard)
        true = true_figures(rod, truth, LOAD, answer.line, E)
        for name in ("drop", "rate"):
            figure = proof.figure(name)
            found[name] += figure.low <= true[name] <= figure.high
        for one in proof.strips:
            k = names.index(one.section)
            held = abs(one.modulus - E[k][one.strip - 1]) <= COVERED * one.spread
            found["strips bent" if one.tested else "strips not bent"] += held / sum(
                other.tested == one.tested for other in proof.strips
            )
        at = yard.at_nodes(built.faces)
        for j in NODES:
            faces, row = truth.nodes[j], E[int(built.owner[j])]
            section = stiffness(faces, row)
            drawn = rod.cane.modulus.value * stiffness(np.repeat(built.drawn[j], 6)).mean
            one = proof.stations[j]
            found["EI at a station"] += (one.stiffness.low <= section.mean / drawn <= one.stiffness.high) / len(NODES)
            reach = COVERED * one.spine.spread / 2
            found["spine at a station"] += (abs(float(at.u[j] - section.uneven[0])) <= reach) / len(NODES)
    return found, request.param


def test_ninety_five_of_a_hundred(counted, tell):
    """Strips not bent count measuring in their scatter: what hangs on them is held rather too often."""
    found, bent = counted
    shares = {name: count / SEEDS for name, count in found.items()}
    tell(f"{bent} strips of a section bent: {shares}")
    assert len(shares) == (5 if bent == 6 else 6)
    assert {name: share for name, share in shares.items() if not 0.89 <= share <= 0.99 + 1e-9} == {}
