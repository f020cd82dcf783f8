"""From a case to a discretised shell for one kind of analysis."""

from dataclasses import dataclass, field, replace

from buckle.case import Case
from buckle.landmarks import push
from buckle.material import Material
from buckle.mesh import Grading
from buckle.shell.model import Fineness, Load, Shell, build_shell
from buckle.shell.strain import ENGINEERING, LOGARITHMIC, SMALL, StrainMeasure
from buckle.solve.path import ArcLength

ELASTIC_LAYERS = 4
PLASTIC_LAYERS = 12
PLASTIC_MESH = 1.4
"""Times the default density. A limit needs no more than 1, but the onset of waves follows which points flow and
which unload, and is known to half as much with fewer of them."""
LINEAR_MESH = 2.0
"""The same for linear stresses, which cost nothing: first yield is read off them at a face."""
FREE_TO_FLOW = ArcLength(strain_step=float("inf"), largest_strain=float("inf"), turn=0.3, widest_turn=0.6)
"""Small-strain collapse: strains mean nothing beyond it and the limit does not depend on the steps."""

TO_ITS_STOPS = ArcLength(largest_strain=float("inf"))
"""Large plastic strain: what is too much is for the stops of the path to say."""


@dataclass(frozen=True)
class Kind:
    """What an analysis kind of EN 1993-1-6 stands for here."""

    words: str
    plastic: bool
    measure: StrainMeasure
    settings: ArcLength = field(default_factory=ArcLength)


KINDS = {
    "LA": Kind("linear elastic stresses", False, SMALL),
    "LBA": Kind("linear bifurcation", False, SMALL),
    "MNA": Kind("plastic collapse at small displacements", True, SMALL, FREE_TO_FLOW),
    "GNA": Kind("elastic path at large displacements", False, ENGINEERING, ArcLength(largest_strain=0.3)),
    "GMNA": Kind("elastic-plastic path at large displacements", True, LOGARITHMIC, TO_ITS_STOPS),
}


@dataclass(frozen=True)
class Extras:
    """What is found beside the events.

    The numerical error; the deformation-theory onset of plastic waves; and what pictures show: the path in a table and
    beyond its limit, sections, modes, strains, all wave numbers of a linear bifurcation.
    """

    error: bool = True
    bracket: bool = True
    pictures: bool = True


@dataclass(frozen=True)
class Level:
    """A level of discretisation: multiples of the default mesh density and step, and layers."""

    mesh: float = 1.0
    layers: int | None = None
    step: float = 1.0


def finest(case: Case, kind: str) -> Level:
    """Level that the reported numbers come from."""
    numerics = case.numerics
    layers, mesh = (PLASTIC_LAYERS, PLASTIC_MESH) if KINDS[kind].plastic else (ELASTIC_LAYERS, 1.0)
    mesh = LINEAR_MESH if kind == "LA" else mesh
    return Level(mesh * numerics.mesh_density, numerics.layers or layers, numerics.step)


def shell_of(case: Case, kind: str, level: Level) -> Shell:
    """Discretise a case for a kind of analysis."""
    assert level.layers is not None
    return build_shell(
        case.meridian,
        _material(case.material, kind),
        (case.supports.start_edge, case.supports.outer_edge),
        load_of(case),
        Fineness(_grading(kind).refined(level.mesh), level.layers),
        KINDS[kind].measure,
    )


def _grading(kind: str) -> Grading:
    """Grading of a kind: a wall folds and is torn at edges and kinks, a mechanism of small displacements in a line."""
    return Grading(per_thickness={"MNA": 0.1, "GMNA": 0.5}.get(kind, float("inf")))


def load_of(case: Case) -> Load:
    """Pressure pushes to the right of the walk when it acts on the left."""
    return Load(
        side=-int(push(case.meridian, case.loads.pressure_side)),
        follower=case.loads.follower,
        end_thrust=case.loads.end_thrust,
        axial_force=case.loads.axial_force,
    )


def settings_of(kind: str, level: Level) -> ArcLength:
    """Settings of the path follower at a level."""
    return KINDS[kind].settings.scaled(level.step)


def _material(material: Material, kind: str) -> Material:
    if kind == "MNA":  # EN 1993-1-6: ideal plasticity
        return material.ideal_plastic()
    return material if KINDS[kind].plastic else replace(material, hardening=None)
