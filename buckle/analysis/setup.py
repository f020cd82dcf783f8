"""From a case to a discretised shell for one kind of analysis."""

from dataclasses import dataclass, field, replace

from buckle.case import Case
from buckle.case.models import PERFECT, like
from buckle.landmarks import push, stand
from buckle.material import Material
from buckle.mesh import Grading
from buckle.shell.composed import Composition
from buckle.shell.model import Fineness, Load, Model, build_model
from buckle.shell.strain import ENGINEERING, LOGARITHMIC, SMALL, StrainMeasure
from buckle.shell.supports import Edges, Ring
from buckle.solve.path import ArcLength

ELASTIC_LAYERS = 4
PLASTIC_LAYERS = 12
PLASTIC_MESH = 1.4
"""Times the default density. A limit needs no more than 1, but the onset of waves follows which points flow and
which unload, and is known to half as much with fewer of them."""
LINEAR_MESH = 2.0
"""The same for linear stresses, which cost nothing: first yield is read off them at a face."""
FREE_TO_FLOW = ArcLength(strain_step=float("inf"), largest_strain=1e4, turn=0.3, widest_turn=0.6)
"""Small-strain collapse: strains mean nothing beyond it and the limit does not depend on the steps. The largest strain
at the limit of 200 random bodies was 420; what goes on to 10,000 never levels off."""

TO_ITS_STOPS = ArcLength(largest_strain=float("inf"))
"""Large plastic strain: what is too much is for the stops of the path to say."""


@dataclass(frozen=True)
class KindSettings:
    """What an analysis kind of EN 1993-1-6 stands for here."""

    words: str
    plastic: bool
    measure: StrainMeasure
    settings: ArcLength = field(default_factory=ArcLength)


KINDS = {
    "LA": KindSettings("linear elastic stresses", False, SMALL),
    "LBA": KindSettings("linear bifurcation", False, SMALL),
    "MNA": KindSettings("plastic collapse at small displacements", True, SMALL, FREE_TO_FLOW),
    "GNA": KindSettings("elastic path at large displacements", False, ENGINEERING, ArcLength(largest_strain=0.3)),
    "GMNA": KindSettings("elastic-plastic path at large displacements", True, LOGARITHMIC, TO_ITS_STOPS),
}
KINDS |= {
    imperfect: replace(KINDS[perfect], words=f"{KINDS[perfect].words}, from a deviated shape")
    for imperfect, perfect in PERFECT.items()
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

    mesh: float
    layers: int
    step: float = 1.0


@dataclass(frozen=True)
class Run:
    """What is run: a case, by a kind of analysis, at a level of discretisation, with what extras."""

    case: Case
    kind: str
    level: Level
    extras: Extras = Extras()
    composed: Composition | None = None
    model: Model | None = None  # the case as it is discretised already; None: to be made

    @property
    def plastic(self) -> bool:
        """Whether metal may flow."""
        return KINDS[self.kind].plastic

    @property
    def finite(self) -> bool:
        """Whether displacements may be large."""
        return KINDS[self.kind].measure.finite

    @property
    def settings(self) -> ArcLength:
        """Settings of the path follower."""
        return KINDS[self.kind].settings.scaled(self.level.step)

    @property
    def like(self) -> str:
        """The kind of analysis that this one is but for the shape it starts from."""
        return like(self.kind)

    def at(self, level: Level) -> "Run":
        """Return the same run at another level."""
        return replace(self, level=level, model=None)

    @property
    def coarser(self) -> "Run":
        """The same run coarser in mesh, layers and steps at once."""
        layers = (2 * self.level.layers) // 3 if self.plastic else self.level.layers - 1
        return self.at(Level(self.level.mesh / 1.4, max(2, layers), 2.0 * self.level.step))

    @property
    def finer(self) -> "Run":
        """The same run finer in mesh, layers and steps at once."""
        layers = (3 * self.level.layers) // 2 if self.plastic else self.level.layers + 1
        return self.at(Level(1.4 * self.level.mesh, layers, 0.5 * self.level.step))


def run_of(case: Case, kind: str, extras: Extras | None = None, composed: Composition | None = None) -> Run:
    """Return the run that reported numbers come from; a composed shell is one of several metals."""
    numerics, plastic = case.numerics, KINDS[kind].plastic
    layers, mesh = (PLASTIC_LAYERS, PLASTIC_MESH) if plastic else (ELASTIC_LAYERS, 1.0)
    mesh = LINEAR_MESH if kind == "LA" else mesh
    level = Level(mesh * numerics.mesh_density, numerics.layers or layers, numerics.step)
    return Run(case, kind, level, extras or Extras(), composed)


def model_of(run: Run) -> Model:
    """Discretise the case of a run."""
    if run.model is not None:
        return run.model
    case = run.case
    return build_model(
        case.meridian,
        _metal(run),
        Edges(case.supports.start_edge, case.supports.outer_edge, _stand(case)),
        load_of(case),
        Fineness(_grading(run.like).refined(run.level.mesh), run.level.layers),
        KINDS[run.kind].measure,
    )


def _stand(case: Case) -> Ring | None:
    """What a case stands on, where it is held there."""
    support = case.supports.stand
    s = None if support is None else stand(case.meridian)
    return None if support is None or s is None else Ring(support, s)


def _metal(run: Run) -> Material | Composition:
    """The metal of a run, or what its shell is composed of, as this kind of analysis takes it."""
    if run.composed is None:
        return metal_of(run.case.material, run)
    return replace(run.composed, stretches=tuple((s, metal_of(metal, run)) for s, metal in run.composed.stretches))


def _grading(kind: str) -> Grading:
    """Grading of a kind: a wall folds and is torn at edges and kinks, a mechanism of small displacements in a line."""
    return Grading(per_thickness={"MNA": 0.1, "GMNA": 0.5}.get(kind, float("inf")))


def load_of(case: Case) -> Load:
    """Pressure pushes to the right of the walk when it acts on the left."""
    loads, increasing = case.loads, case.loads.increasing
    return Load(
        side=-int(push(case.meridian, loads.pressure_side)),
        follower=loads.follower,
        end_thrust=loads.end_thrust,
        axial_force=loads.axial_force if increasing.is_pressure else 0.0,
        increasing=increasing,
        constant_pressure=loads.pressure or 0.0,
    )


def metal_of(material: Material, run: Run) -> Material:
    """Return a metal as a kind of analysis takes it."""
    if run.kind == "MNA" and material.hardening is not None:  # EN 1993-1-6: ideal plasticity
        return material.ideal_plastic()
    return material if run.plastic else replace(material, hardening=None)
