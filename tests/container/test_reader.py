"""A container's file: parts by reference, said anew, inline and in other states; what is handed; what is refused."""

import re
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from buckle.case import Case, read_case
from buckle.case.replace import replace_keys
from buckle.container.container import Container
from buckle.container.reader import input_from_dict, read_input, with_analyses, without_expectations
from buckle.container.summary import unasked_vacuum
from buckle.demand.balance import balance
from buckle.errors import CaseError
from buckle.record.container import container_record
from tests.faults.mutator import mutated
from tests.helpers.paths import CONTAINER, ROOT

DEMO = ROOT / "cases/demo"


@cache
def container(path: Path = CONTAINER) -> Container:
    found = read_input(path)
    assert isinstance(found, Container)
    return found


def tables() -> dict[str, Any]:
    """The demonstration's tables, the parts that stand in other files put in."""
    return dict(container().tables)


def changed(**keys: Any) -> Container:
    found = input_from_dict(replace_keys(tables(), {key.replace("__", "."): value for key, value in keys.items()}))
    assert isinstance(found, Container)
    return found


def refused(folder: Path, old: str, new: str) -> str:
    """What is said of the demonstration with a text changed; its parts stand beside it."""
    for name in ("base", "wall", "end"):
        (folder / f"{name}.toml").write_text((DEMO / f"{name}.toml").read_text())
    text = CONTAINER.read_text()
    assert old in text
    path = folder / "container.toml"
    path.write_text(text.replace(old, new, 1))
    with pytest.raises(CaseError) as error:
        read_input(path)
    assert len(str(error.value).splitlines()) == len(error.value.faults)
    return str(error.value).replace(f"{folder}/", "")


def line_of(words: str, path: Path = CONTAINER) -> int:
    return next(at for at, line in enumerate(path.read_text().splitlines(), 1) if words in line)


# Read -----------------------------------------------------------------------------------------------------------------


def test_every_part_is_a_case_under_each_of_its_loads() -> None:
    names = [each.name for each in container().loaded]
    assert names == ["base", "wall", "wall.pallet", "wall.pasteuriser", "neck", "end"]
    assert list(container().parts) == ["base", "wall", "neck", "end"]


def test_a_part_that_nothing_is_handed_to_is_its_own_file(tmp_path: Path) -> None:
    """The base asks for its pressure itself: without contents of the whole the bytes of its file are kept."""
    for name in ("base", "wall", "end"):
        (tmp_path / f"{name}.toml").write_text((DEMO / f"{name}.toml").read_text())
    path = tmp_path / "container.toml"
    empty = re.sub(r"\[contents\].*?(?=\[requirements\])", "", CONTAINER.read_text(), flags=re.DOTALL)
    path.write_text(re.sub(r"filled_at_degC.*", "", empty))
    base, own = container(path).parts["base"], read_case(DEMO / "base.toml")
    assert base.input_hash == own.input_hash
    assert base.data == own.data


def test_what_is_said_beside_a_reference_counts_instead() -> None:
    wall = container().parts["wall"]
    assert wall.dimensions["length"] == 118.9
    assert read_case(DEMO / "wall.toml").dimensions["length"] == 105.0
    assert wall.material.grade == "AL-3104-H19-baked"


def test_another_unit_of_a_key_counts_instead(tmp_path: Path) -> None:
    """0.1 mm as 0.00393700787 in, though the wall's own file gives millimetres."""
    for name in ("base", "wall", "end"):
        (tmp_path / f"{name}.toml").write_text((DEMO / f"{name}.toml").read_text())
    path = tmp_path / "container.toml"
    path.write_text(CONTAINER.read_text().replace("thickness_mm = 0.1\n", "thickness_in = 0.00393700787\n", 1))
    assert container(path).parts["wall"].dimensions["thickness"] == pytest.approx(0.1, rel=1e-8)


def test_pressure_goes_to_parts_under_pressure_and_force_to_those_under_force() -> None:
    """The end asks for 90 psi itself, the base for 6.2 bar; the wall for 800 N; the neck for nothing of its own."""
    found = {each.name: each.case.requirements for each in container().loaded}
    assert found["end"].pressure == pytest.approx(0.62053, rel=1e-5)
    assert found["wall.pasteuriser"].pressure == 0.62
    assert (found["neck"].axial_force, found["neck"].pressure) == (800.0, None)
    assert found["wall.pallet"].axial_force == 800.0
    handed = changed(requirements__axial_force_N=900.0)
    forces = [each.case.requirements.axial_force for each in handed.loaded if each.part in ("wall", "neck")]
    assert forces == [900.0, 900.0, None, 900.0]


def test_the_higher_of_what_is_required_of_whole_and_part_counts() -> None:
    """The end asks for 90 psi (6.205 bar) itself."""
    asked = {bar: changed(requirements__pressure_bar=bar).parts["end"].requirements.pressure for bar in (6.0, 6.3)}
    assert asked == {6.0: pytest.approx(0.62053, rel=1e-5), 6.3: pytest.approx(0.63)}


def test_contents_of_the_whole_are_those_of_every_part_under_pressure() -> None:
    """One container holds one thing, whatever the base's own file says it holds."""
    found = {each.name: each.case.contents for each in container().loaded}
    assert found["wall"] is found["neck"] is found["wall.pallet"] is None
    assert found["end"] == found["base"] == container().contents


def test_a_filled_state_has_the_pressure_of_the_contents() -> None:
    pallet = next(each.case for each in container().loaded if each.name == "wall.pallet")
    filled = container().filled
    assert filled is not None
    assert filled.demand is not None
    assert pallet.loads.pressure == balance(filled.demand.filling, 4.0).gauge
    assert 0.05 < (pallet.loads.pressure or 0.0) < 0.15


HOT = {
    "gas": "air",
    "liquid_ml": 330,
    "headspace_ml": 20,
    "fill_temperature_degC": 85,
    "temperatures_degC": [4, 85],
}


def hot_filled(side: str, at: float = 20.0) -> Container:
    """The demonstration filled hot, its wall pressed at a temperature under the contents' pressure on a side."""
    pallet = {
        "filled_at_degC": at,
        "loads": {"increases": "axial_force", "axial_force_N": -100.0, "pressure_side": side},
    }
    found = input_from_dict({**replace_keys(tables(), {"parts.wall.states.pallet": pallet}), "contents": HOT})
    assert isinstance(found, Container)
    return found


def test_a_vacuum_of_the_contents_stays_on_the_side_that_it_acts_from() -> None:
    """Hot-filled and cold again the wall is pressed under a vacuum; it was pressed under no pressure."""
    found = hot_filled("outside")
    pallet = next(each.case for each in found.loaded if each.name == "wall.pallet")
    assert found.filled is not None
    assert found.filled.demand is not None
    assert pallet.loads.pressure == -balance(found.filled.demand.filling, 20.0).gauge
    assert (pallet.loads.pressure or 0.0) > 0.07


@pytest.mark.parametrize(("side", "at", "other"), [("inside", 20.0, "outside"), ("outside", 90.0, "inside")])
def test_a_pressure_of_the_contents_on_the_other_side_is_refused(side: str, at: float, other: str) -> None:
    with pytest.raises(CaseError, match=f"that acts from the {other}, not from the {side}"):
        hot_filled(side, at)


def test_a_vacuum_that_no_part_is_asked_for_is_a_doubt_about_the_whole() -> None:
    """Its parts were met one by one, and no wall had been looked at from outside; a state that is asked settles it."""
    asked = {"loads": {"pressure_side": "outside"}, "supports": {"start_edge": "clamped", "outer_edge": "sleeve"}}
    found = hot_filled("outside")
    assert unasked_vacuum(found) == pytest.approx(0.0787, abs=1e-4)  # at 4 degC, by `balance`
    reasons = container_record(found, {}, {})["reasons"]
    assert any("no part is asked what it carries from outside" in each for each in reasons)
    made = replace_keys(dict(found.tables), {"parts.wall.states.pasteuriser": asked})
    settled = input_from_dict(made)
    assert isinstance(settled, Container)
    assert unasked_vacuum(settled) == 0.0
    assert unasked_vacuum(container()) == 0.0


@pytest.mark.parametrize(
    ("parts", "needs"),
    [
        (("wall", "neck"), {"pressure_bar": 6.2}),
        (("wall", "neck"), {"service_pressure_psi": 60}),
        (("base", "end"), {"axial_force_N": 800.0}),
    ],
)
def test_what_is_required_of_no_part_is_refused(parts: tuple[str, ...], needs: dict[str, float]) -> None:
    """It was dropped, and the container met it."""
    own = {name: {key: value for key, value in tables()["parts"][name].items() if key != "states"} for name in parts}
    with pytest.raises(CaseError, match=rf"requirements\.{next(iter(needs))}: applies to no part"):
        input_from_dict({"parts": own, "requirements": needs})


def test_tables_with_the_parts_put_in_are_the_same_container() -> None:
    """They are what is kept with the results and what a batch varies."""
    again = input_from_dict(tables())
    assert isinstance(again, Container)
    assert again.input_hash == container().input_hash


def test_a_case_is_read_as_a_case() -> None:
    assert isinstance(read_input(DEMO / "base.toml"), Case)
    assert isinstance(input_from_dict(read_case(DEMO / "base.toml").tables), Case)


def test_where_one_case_is_asked_for_a_container_is_refused() -> None:
    with pytest.raises(CaseError, match=r"container\.toml:\d+: parts: is of a container, and one case is asked for"):
        read_case(CONTAINER)


def test_a_part_varies_by_its_key() -> None:
    assert changed(parts__base__shape__gauge_mm=0.25).parts["base"].dimensions["gauge"] == 0.25
    assert changed(parts__end__shape__gauge_mm=0.25).parts["end"].dimensions["gauge"] == 0.25  # given in inches


def test_other_analyses_go_to_every_part() -> None:
    found = input_from_dict(with_analyses(without_expectations(tables()), ["LBA"]))
    assert isinstance(found, Container)
    assert {each.case.analyses.run for each in found.loaded} == {("LBA",)}


# Refused --------------------------------------------------------------------------------------------------------------


def test_a_fault_inline_stands_on_its_line(tmp_path: Path) -> None:
    said = refused(tmp_path, "thickness_mm = 0.15", "thickness_mm = -0.15")
    at = line_of("thickness_mm = 0.15")
    assert said == f"container.toml:{at}: parts.neck.shape.thickness_mm: out of range; got -0.15; allowed: > 0 mm"


def test_a_fault_in_another_file_names_that_file(tmp_path: Path) -> None:
    base = (DEMO / "base.toml").read_text()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Path, "read_text", lambda self, *_: base if self.name == "base.toml" else _plain(self))
        base = base.replace("gauge_mm = 0.245", "gauge_mm = 0.0")
        said = refused(tmp_path, "[pallet]", "[pallet]")
    line = line_of("gauge_mm = 0.245  ", DEMO / "base.toml")
    assert said == f"base.toml:{line}: shape.gauge_mm: out of range; got 0.0; allowed: > 0 mm"


def _plain(path: Path) -> str:
    return path.read_bytes().decode()


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("[parts.neck.material]", "[parts.lid]\n[parts.neck.material]", "parts.lid: unknown part"),
        ('case = "end.toml"', 'case = "lid.toml"', "parts.end.case: "),
        ('case = "end.toml"', 'case = "container.toml"', "parts.end.case: is a container itself"),
        ("[pallet]", "[palette]", "palette: unknown table, did you mean 'pallet'?"),
        ("gap_mm = 0.4", "gap = 0.4", "pallet.gap: a key with a dimension ends in its unit"),
        ("layers = 9", "layers = 9.5", "pallet.layers: "),
        ("wall_radius_mm = 29.0", "wall_radius_mm = 28.9", "parts.neck.shape: does not meet the wall"),
        ("liquid_ml = 330", "liquid_ml = 352", "contents.liquid_ml: "),
        ("fill_below_brim_mm = 12", "fill_below_brim_mm = 140", "container.fill_below_brim_mm: level does not lie"),
        ("filled_at_degC = 4", "filled_at_degC = 104", "parts.wall.states.pallet.filled_at_degC: out of range"),
        ("filled_at_degC = 4", "filled_at = 4", "parts.wall.states.pallet.filled_at: a key with a dimension"),
        ("wave_numbers = [0, 20]", "wave_numbers = [9, 2]", "parts.wall.states.pasteuriser.analyses.wave_numbers: "),
        ("axial_force_N = 800.0", "axial_force_N = -8.0", "requirements.axial_force_N: out of range"),
        ("drink = ", "carbonation = 2\ndrink = ", "contents.carbonation: unknown key"),
        ("carbonation_volumes = 2.5", "", "contents.carbonation_volumes: missing, carbon_dioxide is measured by it"),
        (
            'drink = "sugared"',
            'drink = "sugared"\nsolubility_factor = 1.0',
            "contents.solubility_factor: the drink has",
        ),
        ("[parts.wall.states.pallet]", "[parts.wall.states.pallet.shape]", "a state is the same body"),
        ("neck_radius_mm = 24.252 ", "neck_radius_mm = 24.4", "seam: the parts make no one shell"),
    ],
)
def test_what_is_wrong_names_its_key(tmp_path: Path, old: str, new: str, said: str) -> None:
    found = refused(tmp_path, old, new)
    assert said in found
    assert all(line.startswith("container.toml:") for line in found.splitlines())


def test_tables_in_memory_have_no_files_beside_them() -> None:
    with pytest.raises(CaseError, match=r"parts\.base\.case: tables in memory stand in no folder"):
        input_from_dict(tomllib.loads(CONTAINER.read_text()))


@pytest.mark.slow
def test_a_changed_file_is_refused_cleanly_or_read(tmp_path: Path) -> None:
    """Sixty changes at random; each line of what is said begins with the name of one of the files."""
    for name in ("base", "wall", "end"):
        (tmp_path / f"{name}.toml").write_text((DEMO / f"{name}.toml").read_text())
    path, accepted = tmp_path / "container.toml", 0
    for seed in range(60):
        data, words = mutated(CONTAINER.read_bytes(), seed)
        path.write_bytes(data)
        try:
            read_input(path)
        except CaseError as error:
            for line in str(error).splitlines():
                assert line.startswith(f"{tmp_path}/"), (seed, words)
                assert line.isprintable(), (seed, words)
        else:
            accepted += 1
    assert 5 < accepted < 55
