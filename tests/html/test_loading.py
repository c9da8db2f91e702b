"""The page's section about a part under load: the picture is shown, the figures are there, nothing bars a reader."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from formparts.fea import Answer, CaseSolution, FeaOrder, LoadCase, Study, read_load, study, study_record
from formparts.part import Part
from formparts.recipe_functions import find_recipe
from formparts.report.html.page import write_report
from tests.html.axe import script, serious_faults
from tests.html.browser import PROGRAM, Page, browser

pytestmark = pytest.mark.skipif(
    PROGRAM is None, reason="no Chromium on this machine (Debian package chromium)"
)


@pytest.fixture(scope="module")
def page() -> Iterator[Page]:
    with browser() as opened:
        yield opened


def bent(rise: float) -> Study:
    """A clip whose head has sunk, each node by its height: as a solver could report it."""
    body = find_recipe("z_clip")(rise=rise)
    case = LoadCase(("foot_hole[1]",), (read_load("z_clip.head.upper=80N"),))
    plain = study(body, FeaOrder("shell", 6, (case,)))
    moved = np.zeros_like(plain.mesh.nodes)
    moved[:, 2] = -0.01 * plain.mesh.nodes[:, 2]
    answer = Answer(moved, (0.0, 0.0, 80.0), ())
    return Study(plain.mesh, (CaseSolution(plain.mesh, case, answer),), "by hand", plain.by_hand)


def test_the_section_is_shown(page: Page, tmp_path: Path) -> None:
    """The largest displacement is a hundredth of the head's height, 21 mm at a rise of 20 with a middle of the sheet
    of 1; the picture is loaded, fits a phone, and axe-core finds nothing serious."""
    made = bent(20)
    figures = study_record(made)
    path = write_report(
        Part(made.mesh.body), tmp_path / "clip.html", False, figures, [(made.first.picture, b"", ())]
    )
    assert figures["cases"][0]["largest_displacement_mm"] == pytest.approx(0.21)
    page.open(path.as_uri())
    words = page.ask("document.querySelector('[aria-label=\"Under load\"]').innerText")
    for expected in ("0.21 mm", "0, 0, 80 N", "0, 0, -80 N", "licensed practitioner", "torsion constant"):
        assert expected in words
    assert page.ask("document.querySelector('img.deflected').naturalWidth") == 1000
    page.size(390, 900, True)
    assert page.ask("document.querySelector('img.deflected').getBoundingClientRect().right") <= 390
    page.ask(script())
    assert serious_faults(page) == []
