"""A container of a tube and a cap whose reserves are functions written down here, in the place of analyses.

Each part's reserve is its gauge over the one that just passes, so that every answer about the whole is known by hand.
"""

from contextlib import contextmanager
from pathlib import Path

from buckle.batch.asked import Designs
from buckle.batch.pool import WorkerPool
from buckle.store import Result, RowStatus, Store
from tests.batch.test_asked import Inline

WALL, END = "parts.wall.shape.thickness_mm", "parts.end.shape.thickness_mm"
PASSES = {"cylinder": 0.1, "spherical_cap": 0.25}
"""mm of each part's gauge at which its reserve is 1."""
TEXT = """\
# A tube and a cap, invented.
[requirements]
pressure_bar = 2.0              # as the buyer asks

[parts.wall]
case = "tube.toml"

[parts.end.material]
youngs_modulus_GPa = 69.0
poissons_ratio = 0.3
density_kg_per_m3 = 2720
yields = false

[parts.end.shape]
family = "spherical_cap"
radius_mm = 60.0
half_angle_deg = 30.0
thickness_mm = 0.3              # of the cap

[parts.end.supports]
outer_edge = "clamped"

[parts.end.loads]
pressure_side = "inside"

[parts.end.analyses]
run = ["GNA"]
wave_numbers = [0, 4]
"""
TUBE = """\
[material]
youngs_modulus_GPa = 69.0
poissons_ratio = 0.3
density_kg_per_m3 = 2720
yields = false
[shape]
family = "cylinder"
radius_mm = 30.0
length_mm = 100.0
thickness_mm = 0.12
[supports]
start_edge = "clamped"
outer_edge = "clamped"
[loads]
pressure_side = "inside"
[analyses]
run = ["GNA"]
wave_numbers = [0, 4]
"""
SIZE = f"""
[size]
starts = 2
[size.vary]
"{WALL}" = [0.05, 0.2]
"{END}" = [0.2, 0.4]
"""


def write(folder: Path, more: str = "", text: str = TEXT, tube: str = TUBE) -> Path:
    """Write the container and the part beside it; return its path."""
    (folder / "tube.toml").write_text(tube)
    path = folder / "vessel.toml"
    path.write_text(text + more)
    return path


def linear(case):
    """What a part is judged by: its gauge over the one that just passes, with that derivative."""
    passes = PASSES[case.family]
    return {"axisymmetric_capacity": case.dimensions["thickness"] / passes}, {"shape.thickness_mm": 1.0 / passes}


@contextmanager
def asking(container, folder, of=linear, seen=None, verdict="met"):
    """Lend the designs of a container whose parts are judged by a function of their case."""

    def solve(tasks):
        if seen is not None:
            seen.extend(tasks)
        return [_result(each, *of(each.case), verdict) for each in tasks]

    pool = WorkerPool(lambda: Inline(), 1, solve=solve)
    with Store(folder / "kept", create=True) as store:
        yield Designs(container, store, pool, "a vessel")


def _result(task, reserves, slopes, verdict):
    demand = task.case.required_load * 10.0  # bar
    found = {f"reserve.{name}": value for name, value in reserves.items()}
    found |= {f"demand.{name}": demand for name in reserves}
    found |= {f"slope.{name} {key}": slopes[key] for name in reserves for key in task.slopes}
    least = min(reserves, key=lambda name: reserves[name], default="")
    if least:
        found |= {"reserve_factor": reserves[least], "governing_limit_state": least.replace("_", " ")}
    found["verdict"] = verdict
    return Result(task.key, RowStatus.SOLVED, "", found)
