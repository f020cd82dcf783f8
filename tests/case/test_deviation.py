"""[deviation] is read, used, and refused where it makes no sense."""

import pytest

from buckle.case import case_from_dict, read_case
from buckle.errors import CaseError
from tests.helpers import bodies

DIMPLE = {"shape": "dimple", "width_mm": 12.0, "depth_mm": 0.1}


def tables(deviation, run=("GNIA",)):
    shape = {"family": "spherical_cap", "radius_mm": 100.0, "half_angle_rad": 0.5, "thickness_mm": 0.3}
    made = bodies.case(shape, run="GNA", edges={"outer_edge": "clamped"}).tables
    made = {**made, "analyses": {"run": list(run)}}
    return made if deviation is None else {**made, "deviation": deviation}


def test_the_deviated_body_is_beside_the_perfect_one():
    case = case_from_dict(tables(DIMPLE, ["GNA", "GNIA"]))
    assert float(case.deviated[0].meridian.at_s(0.0).z) == pytest.approx(float(case.meridian.at_s(0.0).z) - 0.1)
    assert case.deviation.width == 12.0


def test_it_gives_the_way_pressure_pushes():
    inside = tables(DIMPLE)
    inside["loads"] = {"pressure_side": "inside"}
    case = case_from_dict(inside)
    assert float(case.deviated[0].meridian.at_s(0.0).z) == pytest.approx(float(case.meridian.at_s(0.0).z) + 0.1)


def test_its_hash_is_that_of_what_it_says():
    perfect, one, two = (
        case_from_dict(tables(deviation, run)).input_hash
        for deviation, run in ((None, ["GNA"]), (DIMPLE, ["GNIA"]), ({**DIMPLE, "depth_mm": 0.2}, ["GNIA"]))
    )
    assert len({perfect, one, two}) == 3


@pytest.mark.parametrize(
    ("deviation", "run", "words"),
    [
        (None, ["GNIA"], r"analyses.run\[0\]: no \[deviation\] says how the shape deviates"),
        (DIMPLE, ["GNA"], "deviation: none of the analyses starts from the deviated shape"),
        ({"width_mm": 1.0}, ["GNIA"], "deviation.shape: missing"),
        ({**DIMPLE, "shape": "dimpel"}, ["GNIA"], "deviation.shape: .*dimple"),
        ({**DIMPLE, "depth_mm": 40.0}, ["GNIA"], "deviation.depth_mm: deeper than 20 walls"),
        ({**DIMPLE, "at_mm": 51.0}, ["GNIA"], "deviation.at_mm: lies beyond the meridian"),
        ({**DIMPLE, "width_mm": 0.01}, ["GNIA"], "deviation.width_mm: shorter than the wall is thick"),
        ({"shape": "measured", "file": "no.csv", "filter_mm": 3.0}, ["GNIA"], "deviation.file: cannot be read"),
    ],
)
def test_what_makes_no_sense_is_refused(deviation, run, words):
    with pytest.raises(CaseError, match=words):
        case_from_dict(tables(deviation, run))


def test_a_scan_lies_beside_its_case(tmp_path):
    at = case_from_dict(tables(None, ["GNA"])).meridian
    s = [at.length * i / 50 for i in range(51)]
    rows = [f"{float(at.at_s(each).r)},{float(at.at_s(each).z) - 0.02}" for each in s]
    (tmp_path / "scan.csv").write_text("\n".join(["r_mm,z_mm", *rows]))
    (tmp_path / "case.toml").write_text(
        '[material]\nyoungs_modulus_GPa = 69\npoissons_ratio = 0.3\n[shape]\nfamily = "spherical_cap"\n'
        "radius_mm = 100\nhalf_angle_rad = 0.5\nthickness_mm = 0.3\n[supports]\n"
        'outer_edge = "clamped"\n[loads]\npressure_side = "outside"\n[analyses]\nrun = ["GNIA"]\n'
        '[deviation]\nshape = "measured"\nfile = "scan.csv"\nfilter_mm = 5.0\n'
    )
    case = read_case(tmp_path / "case.toml")
    assert float(case.deviated[0].meridian.at_s(0.0).z) == pytest.approx(
        float(case.meridian.at_s(0.0).z) - 0.02, abs=1e-3
    )
    (tmp_path / "scan.csv").write_text("\n".join(["r_mm,z_mm", *rows[:-1]]))
    assert read_case(tmp_path / "case.toml").input_hash != case.input_hash


MODE = {"shape": "mode", "wave_number": 4, "amplitude_mm": 0.01}


def test_waves_around_have_no_meridian_of_their_own():
    case = case_from_dict(tables({**MODE, "analysis": "GNA"}, ["GNA", "GNIA"]))
    assert case.deviated == ()
    assert (case.deviation.wave_number, case.deviation.amplitude) == (4, 0.01)


@pytest.mark.parametrize(
    ("change", "run", "message"),
    [
        ({}, ["GNIA"], "follows waves that begin on the path of GNA, which is not run"),
        ({"analysis": "GMNA"}, ["GNA", "GNIA"], "is not the mode that GNIA starts from"),
        ({"amplitude_mm": 0.31}, ["GNA", "GNIA"], "more than the wall is thick"),
        ({"wave_number": 1}, ["GNA", "GNIA"], "wave_number: waves are followed from wave number 2 on"),
        ({"wave_number": 401}, ["GNA", "GNIA"], "out of range"),
        ({"wave_number": 0}, ["GNA", "GNIA"], "a mode without waves, which is one of LBA"),
        ({"amplitude_mm": -0.01}, ["GNA", "GNIA"], "amplitude_mm: is that of a wave, whose other sense is the same"),
        ({"amplitude_mm": 0.0}, ["GNA", "GNIA"], "amplitude_mm: is no deviation"),
        ({"analysis": "LBA"}, ["GNIA"], "on the path of GNA, which is not run"),
        ({"analysis": "LBA", "wave_number": 0, "amplitude_mm": -0.31}, ["GNIA"], "more than the wall is thick"),
    ],
)
def test_waves_around_that_make_no_sense_are_refused(change, run, message):
    with pytest.raises(CaseError, match=message):
        case_from_dict(tables({**MODE, **change}, run))


def test_a_mode_of_lba_without_waves_has_two_senses_and_an_amplitude():
    along = {**MODE, "analysis": "LBA", "wave_number": 0}
    case = case_from_dict(tables({**along, "amplitude_mm": -0.02}, ["GNIA"]))
    assert case.deviation.without_waves
    assert case.deviation.amplitude == -0.02
    missing = {key: value for key, value in along.items() if key != "amplitude_mm"}
    with pytest.raises(CaseError, match=r"deviation: a mode without waves needs .*amplitude_mm"):
        case_from_dict(tables(missing, ["GNIA"]))


def test_modes_near_the_lowest_stand_beside_the_perfect_shape():
    case = case_from_dict(tables({"shape": "modes", "within_percent": 10.0}, ["GNA", "GNIA"]))
    assert case.deviated == ()
    assert (case.deviation.within_percent, case.deviation.rms_walls, case.deviation.per_wave_number) == (10.0, 0.5, 2)
    with pytest.raises(CaseError, match="on the path of GNA, which is not run"):
        case_from_dict(tables({"shape": "modes"}, ["GNIA"]))
