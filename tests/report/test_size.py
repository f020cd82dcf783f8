"""What is printed and drawn of a sizing and of a count of shortfalls: numbers that are known, and no word too sure."""

from dataclasses import replace

import numpy as np
import pytest
from rich.console import Console
from scipy.stats import norm

from buckle.case import read_case
from buckle.case.tolerances import Tolerance
from buckle.report.figures.shortfall import draw_shortfall
from buckle.report.figures.sizing import draw_front, draw_scan, draw_sizing
from buckle.report.shortfall import shortfall_text
from buckle.report.size import front_text, scan_text, sized_text
from buckle.shortfall.distribution import SHARES, Effort, distribution
from buckle.shortfall.record import shortfall_record
from buckle.size.front import front_of
from buckle.size.neighbourhood import checked
from buckle.size.one import scan
from buckle.size.record import front_name, front_record, front_words, scan_record, sized_record
from buckle.size.sizing import size_design
from buckle.size.variable import Variable
from buckle.study.scores import scatter_of
from buckle.units import RECORDED
from tests.helpers.paths import ROOT
from tests.size.designs import Bodies, Given
from tests.size.test_sizing import capacity, mass, problem

CASE = read_case(ROOT / "cases/demo/base.toml")


def said(what):
    console = Console(width=150)
    with console.capture() as captured:
        console.print(what)
    return " ".join(captured.get().split())


def test_the_answer_about_one_variable():
    found = scan(Given(lambda t: {"axisymmetric_capacity": t / 0.25}), Variable("shape.gauge_mm", 0.3, 0.1, 0.5), 1.0)
    words = said(scan_text(CASE, found, None, ["nobody knows"], RECORDED))
    assert "ANSWER: 0.25 mm: at that shape.gauge_mm the least reserve factor is 1, and no less up to 0.5 mm" in words
    assert "CAUTION: nobody knows." in words
    assert scan_record(found, 15, None, ())["design"] == {"shape.gauge_mm": 0.25}
    assert len(draw_scan(CASE, found, RECORDED).axes) == 1


def test_no_answer():
    found = scan(Given(lambda t: {"axisymmetric_capacity": t}), Variable("shape.gauge_mm", 0.3, 0.1, 0.5), 1.0)
    assert "ANSWER: none: a reserve factor of 1 is reached nowhere" in said(scan_text(CASE, found, None, [], RECORDED))


def test_the_lightest():
    """Price 0.158 a bar, by hand in tests/size: the demand of these bodies is 1."""
    body = Bodies(lambda x: {"axisymmetric_capacity": capacity(x)}, mass)
    found = size_design(body, problem())
    words = said(sized_text(CASE, found, checked(body, found, 64), RECORDED))
    assert "PRICE of axisymmetric capacity: 0.158 g per bar of its demand." in words
    assert "it holds with meshes twice as fine too" in words
    assert "none of these holds" in words
    record = sized_record(CASE, found, 7, None)
    assert record["design"] == found.values
    assert record["active"][0]["price_g_per_bar"] == pytest.approx(0.158, abs=2e-3)
    assert len(draw_sizing(CASE, found, CASE, RECORDED).axes) == 3
    front = front_of(body, found, 3)
    assert "3" in said(front_text(found, front))
    assert len(draw_front(CASE, found, front).axes) == 1  # no growth is limited
    assert [each["case_file"] for each in front_record(CASE, front)][:2] == ["front-01.toml", "front-02.toml"]
    assert front_name(front[0], replace(CASE, path="base.json")) == "front-01.json"  # its text is JSON then
    assert front_words(replace(front[1], growth=0.5)).endswith("for a reserve factor of 1.125 and a growth of 0.5 mm.")


SCATTER = scatter_of([Tolerance("shape.gauge_mm", 0.25, 0.012, 0.012, "normal", 0.25, 0.004)], np.eye(1))


def made_distribution():
    """A share of 1e-4 by construction: the reserve is 1 at 3.719 standard deviations."""
    return distribution(lambda u: 1.0 + 0.05 * (u + 3.719), ["capacity"], 1, 1.0, Effort(200, 4000, 95))


def test_what_falls_short():
    made, scatter = made_distribution(), SCATTER
    words = said(shortfall_text(CASE, made, scatter, RECORDED))
    assert "first order says 100 ppm" in words
    assert "plain sampling none of the samples (up to 1.83 %)" in words  # 1 - 0.025**(1/200)
    assert "The four ways agree within their intervals." in words
    assert "Capability index 1.2" in words
    assert "This counts what [tolerances] scatters and nothing else" in words
    assert len(draw_shortfall(CASE, made, scatter).axes) == 2


def test_levels_in_the_record_have_the_ends_that_a_sample_knows():
    """1 + 0.05 (z + 3.719) at a share's score; of 200 plain samples the levels of few in a thousand have no low end."""
    record = shortfall_record(made_distribution(), SCATTER, 4200)
    weighted, plain = (
        record[f"by_{name}"]["reserve_factors"] for name in ("sampling_about_the_design_points", "plain_sampling")
    )
    for share, one, other in zip(SHARES, weighted, plain, strict=True):
        assert one["share"] == other["share"] == share
        exact = 1.0 + 0.05 * (norm.ppf(share) + 3.719)
        assert one["low"] <= exact <= one["high"]
        assert one["value"] == pytest.approx(exact, abs=0.01)
    assert [each["low"] for each in plain] == [None, None, None]
    assert plain[0]["high"] > plain[0]["value"]
