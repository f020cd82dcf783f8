"""The samples of the study that docs/sizing.md tells of: the page follows from them, and the engine still has them."""

import numpy as np
import pytest

from buckle.analysis import run
from buckle.batch.asked import asking
from buckle.case import case_from_dict, replace_keys
from buckle.shortfall.distribution import SHARES
from buckle.shortfall.engine import scatter_of_case
from buckle.shortfall.sampling import Sample, plain_scores
from scripts.study.shortfall.page import PAGE, SAMPLES
from scripts.study.shortfall.runs import ASKED, SEED, case_of_study
from scripts.study.shortfall.samples import RESERVE, read_samples, row_of, write_samples
from tests.helpers.paths import ROOT

DOCS = ROOT / "docs"


def test_the_page_says_what_the_samples_have():
    _, _, sample = read_samples(DOCS / SAMPLES)
    row = row_of("plain samples", sample, ASKED, [sample.level(share) for share in SHARES])
    assert f"| {' | '.join(row)} |" in (DOCS / PAGE).read_text(encoding="utf-8").splitlines()


def test_the_samples_are_those_of_the_laws():
    """From the seed again, to the digits that the file has."""
    keys, values, sample = read_samples(DOCS / SAMPLES)
    scatter = scatter_of_case(case_of_study())
    assert keys == scatter.keys
    again = scatter.values(plain_scores(len(sample.reserves), len(keys), SEED + 1))
    np.testing.assert_allclose(values, again, rtol=5e-7)


@pytest.mark.slow
@pytest.mark.study
def test_the_engine_has_the_same_reserves(tmp_path):
    """The row in the middle and the one that has least; 2e-4 is what reserves scatter by as meshes change."""
    keys, values, sample = read_samples(DOCS / SAMPLES)
    rows = [len(values) // 2, int(np.argmin(sample.reserves))]
    with asking(case_of_study(), tmp_path, "rows of the study", jobs=1) as designs:
        found = designs.results([dict(zip(keys, map(float, values[at]), strict=True)) for at in rows])
    reserves = [each.quantities[RESERVE] for each in found]
    assert reserves == pytest.approx(sample.reserves[rows], rel=2e-4)


def test_growth_that_is_met_just_after_a_state():
    """One of the samples: 3e-5 before what is allowed a state was kept, and Newton finds none between.

    Designs beside it, on whose paths states lie elsewhere, say what its growth must have: 1e-3 is more than the gauge's
    1e-5 changes, and than meshes do.
    """
    sample = {
        "shape.gauge_mm": 0.2346444634,
        "shape.dome_depth_mm": 9.559231108,
        "shape.nose_inner_radius_mm": 1.108868172,
        "shape.nose_outer_radius_mm": 1.353536866,
        "material.yield_stress_MPa": 256.9070654,
    }
    beside = {**sample, "shape.gauge_mm": 0.23465}
    found, near = (
        run(case_from_dict(replace_keys(case_of_study().tables, each)), "GMNA", estimate_error=False, pictures=False)
        for each in (sample, beside)
    )
    assert found.allowed[0].load == pytest.approx(near.allowed[0].load, rel=1e-3)


def test_a_file_of_samples(tmp_path):
    """What is written is read again, a design without a reserve among it; the file of 20,000 stays below 1.5 MB."""
    keys, values = ("shape.gauge_mm", "material.yield_stress_MPa"), np.array([[0.23512345678, 262.0], [0.2, 250.0]])
    write_samples(tmp_path / SAMPLES, keys, values, np.array([1.12123592, -np.inf]))
    text = (tmp_path / SAMPLES).read_text()
    assert text == f"{','.join(keys)},{RESERVE}\n0.2351235,262,1.121236\n0.2,250,\n"
    read_keys, read_values, sample = read_samples(tmp_path / SAMPLES)
    assert isinstance(sample, Sample)
    assert read_keys == keys
    assert read_values[0, 0] == 0.2351235
    assert sample.reserves.tolist() == [1.121236, -np.inf]


def test_the_file_is_small():
    assert (DOCS / SAMPLES).stat().st_size < 1.5e6
