"""The drawings' own colours can be seen on what they lie on, in either scheme.

WCAG 2.2, 1.4.11 (3 : 1 for what is needed to understand a picture) and 1.4.3 (4.5 : 1 for its words), with
the relative luminance of its glossary.
"""

import re

import pytest

from tests.kit.vessel_sheets import COLOURS, CSS


def colours_of(scheme: str) -> dict[str, str]:
    """Each variable's colour; those of a dark scheme take the place of the light one's."""
    found: dict[str, str] = {}
    for sheet in (COLOURS, CSS):
        light = re.sub(r"@media[^{]*\{(?:[^{}]*\{[^{}]*\})*[^{}]*\}", "", sheet)
        found.update(_variables(light))
    if scheme == "dark":
        for sheet in (COLOURS, CSS):
            for block in re.findall(
                r"@media \(prefers-color-scheme: dark\) \{(.*?)\}\s*\}", sheet, re.DOTALL
            ):
                found.update(_variables(block))
    return found


def _variables(text: str) -> dict[str, str]:
    return dict(re.findall(r"--([\w-]+): (#[0-9a-f]{3,6})\b", text))


def luminance(colour: str) -> float:
    digits = colour.lstrip("#")
    pairs = [2 * one for one in digits] if len(digits) == 3 else re.findall("..", digits)
    shares = [int(pair, 16) / 255 for pair in pairs]
    linear = [share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4 for share in shares]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def test_contrast_is_that_of_the_standard() -> None:
    assert contrast("#000", "#fff") == pytest.approx(21.0)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.01)  # the best-known near miss [M]


MARKS = [
    *(("cyst", "water-fill"), ("cyst", "ground"), ("animals", "water-fill"), ("animals", "ground")),
    *(("lamp-ray", "ground"), ("glass", "ground"), ("ink", "water-fill"), ("water", "water-fill")),
    *(("board-edge", "ground"), ("cold", "ground"), ("warm", "ground"), ("right", "ground")),
    *(("alarm", "alarm-fill"), ("soft", "water-fill")),
]
WORDS = [("ink", "ground"), ("soft", "ground"), ("water", "ground"), ("alarm", "ground"), ("ink", "raised")]


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize(
    ("mark", "ground", "least"),
    [*((*pair, 3.0) for pair in MARKS), *((*pair, 4.5) for pair in WORDS)],
)
def test_marks_and_words_stand_out(scheme: str, mark: str, ground: str, least: float) -> None:
    colours = colours_of(scheme)
    assert contrast(colours[mark], colours[ground]) >= least


def test_the_dark_scheme_has_colours_of_its_own() -> None:
    light, dark = colours_of("light"), colours_of("dark")
    assert light.keys() == dark.keys()
    assert light["ground"] != dark["ground"]
    assert light["cyst"] != dark["cyst"]
