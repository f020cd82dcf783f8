"""A sized design reads from where it is written: scans, measured tolerances and parts stay where they are."""

import json
import tomllib

import pytest

from buckle.case import read_case, replace_keys
from buckle.container.reader import input_from_dict, read_input
from buckle.errors import CaseError
from buckle.size.written import write_design
from tests.size import containers

GAUGE = "shape.thickness_mm"
CASE = """
[material]
youngs_modulus_GPa = 69
poissons_ratio = 0.3
[shape]
family = "spherical_cap"
radius_mm = 100
half_angle_rad = 0.5
thickness_mm = 0.3
[supports]
outer_edge = "clamped"
[loads]
pressure_side = "outside"
[analyses]
run = ["GNIA"]
"""
SCAN = '[deviation]\nshape = "measured"\nfile = "scans/one.csv"   # of a base that was kept\nfilter_mm = 5.0\n'
TOLERANCES = f"""[tolerances]
"{GAUGE}" = {{ law = "measured", file = "gauges.csv", column = "gauge_mm" }}
[tolerances."shape.radius_mm"]
law = "measured"
file = "scans/radii.csv"
column = "radius_mm"
"""


@pytest.fixture
def case(tmp_path):
    """A case with a scan and measured tolerances beside it."""
    folder = tmp_path / "cases"
    (folder / "scans").mkdir(parents=True)
    path = folder / "cap.toml"
    path.write_text(CASE)
    body = read_input_without_deviation(path)
    rows = [f"{float(at.r)},{float(at.z) - 0.02}" for at in (body.at_s(body.length * i / 50) for i in range(51))]
    (folder / "scans/one.csv").write_text("\n".join(["r_mm,z_mm", *rows]))
    (folder / "gauges.csv").write_text("gauge_mm\n0.29\n0.295\n0.3\n0.305\n0.31\n")
    (folder / "scans/radii.csv").write_text("radius_mm\n99\n99.5\n100\n100.5\n101\n")
    path.write_text(CASE + SCAN + TOLERANCES)
    return path


def read_input_without_deviation(path):
    tables = tomllib.loads(path.read_text())
    return input_from_dict({**tables, "analyses": {"run": ["GNA"]}}).meridian


def same(one, other):
    assert one.deviated[0].meridian.at_s(0.0) == other.deviated[0].meridian.at_s(0.0)
    assert [each.sample for each in one.tolerances] == [each.sample for each in other.tolerances]


@pytest.mark.parametrize("as_json", [False, True])
def test_a_scan_and_measured_tolerances(case, tmp_path, as_json):
    if as_json:
        tables = tomllib.loads(case.read_text())
        case = case.with_suffix(".json")
        case.write_text(json.dumps(tables))
    before = read_case(case)
    to = tmp_path / "results/deep" / case.name
    made = write_design(before, {GAUGE: 0.31}, to, "Sized.")
    assert made.dimensions["thickness"] == pytest.approx(0.31)
    same(made, input_from_dict(replace_keys(before.tables, {GAUGE: 0.31})))
    text = to.read_text()
    assert '"../../cases/scans/one.csv"' in text
    assert as_json or "   # of a base that was kept" in text
    assert str(tmp_path) not in text  # both folders may move together


def test_a_whole_name_stays(case, tmp_path):
    case.write_text(case.read_text().replace('"gauges.csv"', json.dumps(str(case.parent / "gauges.csv"))))
    made = write_design(read_case(case), {}, tmp_path / "elsewhere/cap.toml", "Sized.")
    assert json.dumps(str(case.parent / "gauges.csv")) in (tmp_path / "elsewhere/cap.toml").read_text()
    assert len(made.tolerances) == 2


def test_variants_find_the_scan_from_any_folder(case, tmp_path, monkeypatch):
    """As every design of a search is one: its tables stand in no folder."""
    monkeypatch.chdir(tmp_path)
    same(input_from_dict(replace_keys(read_case(case).tables, {GAUGE: 0.3})), read_case(case))


@pytest.mark.parametrize(
    "own", ["", "[parts.end.shape]\nthickness_mm = 0.3\n[parts.end.deviation]\nfile = 'scans/one.csv'\n"]
)
def test_a_part_with_a_scan_of_its_own(case, tmp_path, monkeypatch, own):
    """The scan lies beside the part's file, whatever the container's file says of it, and that file stays."""
    monkeypatch.chdir(tmp_path)
    case.write_text(case.read_text().replace("outside", "inside").replace(TOLERANCES, ""))
    vessel = tmp_path / "vessels/vessel.toml"
    vessel.parent.mkdir()
    vessel.write_text(f'[parts.end]\ncase = "../cases/cap.toml"\n{own}')
    before = read_input(vessel)
    made = write_design(before, {f"parts.end.{GAUGE}": 0.31}, tmp_path / "results/deep/vessel.toml", "Sized.")
    again = input_from_dict(replace_keys(before.tables, {f"parts.end.{GAUGE}": 0.31}))
    for each in (made, again):
        found = each.loaded[0].case
        assert found.dimensions["thickness"] == pytest.approx(0.31)
        assert len(found.deviated) == 1
    assert 'case = "../../cases/cap.toml"' in (tmp_path / "results/deep/vessel.toml").read_text()


def test_where_no_file_can_be_written(tmp_path):
    container = read_input(containers.write(tmp_path))
    (tmp_path / "results").write_text("a file")
    with pytest.raises(CaseError, match="cannot be written"):
        write_design(container, {}, tmp_path / "results/vessel.toml", "Sized.")
