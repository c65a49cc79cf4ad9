"""Culm files broken at random: read, or refused in a sentence with a place and a remedy; never anything else."""

from __future__ import annotations

from random import Random

from culmwright.cane.culm_file import culm_from_text
from culmwright.measure.errors import BadInput
from culmwright.workshop.starting import culm_text

VALUES = (
    *("0", "-1", "1e400", "nan", "true", '""', '"3 ft"', '"12 parsecs"', "[]", "[0]", "[1, 2, 3]", "{}", "2026-11-25"),
    *(
        '["a"]',
        "[[1]]",
        '["400 deg", "0 deg"]',
        '["10 deg", "20 deg"]',
        "0x7fffffffffffffffffff",
        "12",
        "0.3",
        '"60 ft"',
    ),
)
JUNK = ("]", '"', "[[", "=", "#", "\u201c", "\x00", "\n[culm]\n", "\n[[defect]]\n", "\n[[length]]\n")


def broken(draw: Random, text: str) -> str:
    """A text with a few lines changed, swapped, doubled, dropped or spoiled."""
    lines = text.splitlines()
    for _ in range(draw.randint(1, 4)):
        i = draw.randrange(len(lines))
        match draw.randrange(5):
            case 0:
                lines[i] = f"{lines[i].split('=')[0]}= {draw.choice(VALUES)}"
            case 1:
                lines[i] = lines[i][: draw.randint(0, len(lines[i]))] + draw.choice(JUNK)
            case 2:
                lines.insert(draw.randrange(len(lines)), lines[i])
            case 3:
                j = draw.randrange(len(lines))
                lines[i], lines[j] = lines[j], lines[i]
            case 4 if len(lines) > 1:
                del lines[i]
    return "\n".join(lines)


def test_a_broken_culm_file_is_read_or_refused_in_a_sentence(draw, depth, bounded):
    read = refused = 0
    for _ in range(1500 * depth):
        text = broken(draw, culm_text(draw.choice(("starter", "k12"))))
        with bounded():
            try:
                culm = culm_from_text(text)
            except BadInput as refusal:
                refused += 1
                assert refusal.remedy, text
                assert str(refusal).endswith("."), text
                continue
        read += 1
        assert culm.lengths
        assert all(0 < culm.diameter_at(one.m) < 0.31 for one in culm.nodes)
        assert all(one.start.m < one.end.m <= culm.length.m for one in culm.lengths)
    assert read > 50
    assert refused > 500
