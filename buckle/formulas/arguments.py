"""The keywords that formulas share, with the letters that stand for them; mm, MPa, rad."""

from typing import Annotated

from annotated_types import Ge, Gt, Le, Lt, MultipleOf

from buckle.formulas.base import Symbol
from buckle.units import Angle, Force, PositiveLength, PositivePressure, PositiveStress, Pressure

YoungsModulus = Annotated[PositiveStress, Symbol("E")]
PoissonsRatio = Annotated[float, Symbol("nu"), Ge(0.0), Lt(0.5)]
YieldStress = Annotated[PositiveStress, Symbol("sigma_y")]
Radius = Annotated[PositiveLength, Symbol("R")]
PlateRadius = Annotated[PositiveLength, Symbol("a")]
Thickness = Annotated[PositiveLength, Symbol("t")]
CylinderLength = Annotated[PositiveLength, Symbol("L")]
HalfAngle = Annotated[Angle, Symbol("phi"), Gt(0.0)]
AppliedPressure = Annotated[PositivePressure, Symbol("p")]
InsidePressure = Annotated[Pressure, Symbol("p"), Ge(0.0)]
AxialForce = Annotated[Force, Symbol("F"), Gt(0.0)]
ElasticPressure = Annotated[PositivePressure, Symbol("p_el")]
PlasticPressure = Annotated[PositivePressure, Symbol("p_pl")]
WaveNumber = Annotated[float, Symbol("n"), Ge(2.0), MultipleOf(1.0)]
CrownRadius = Annotated[PositiveLength, Symbol("L")]
KnuckleRadius = Annotated[PositiveLength, Symbol("r")]
HeadDiameter = Annotated[PositiveLength, Symbol("D")]
HeadDepth = Annotated[PositiveLength, Symbol("b")]
AllowableStress = Annotated[PositiveStress, Symbol("S")]
DesignPressure = Annotated[PositivePressure, Symbol("P")]
JointEfficiency = Annotated[float, Symbol("z"), Gt(0.0), Le(1.0)]
