"""Which hand calculations belong beside which analysis of which body."""

from collections.abc import Callable, Mapping

import numpy as np

from buckle.case import Case
from buckle.formulas import (
    cap,
    capacity,
    cylinder,
    head_asme_knuckle,
    head_plastic,
    plate,
    plate_membrane,
    sphere,
    stand,
    tube,
)
from buckle.formulas.base import Formula
from buckle.material import Hardening
from buckle.meridian import RIGHT_ANGLE, AnyPiece, Meridian

FINEST_QUALITY = 40.0
"""Quality parameter of the capacity curve: fabrication class A, the best (from memory)."""

PROOF_STRAIN, BEND_STRAIN = 0.002, 0.05
"""Plastic strains at which hardening laws are compared; the second is that of a layer bent to five thicknesses."""

HandSet = Mapping[str, tuple[Formula, ...]]


def hand_calculations(case: Case) -> HandSet:
    """Formulas by analysis kind, the one to compare first; a kind that no formula answers is absent."""
    makers: Mapping[str, Callable[[Case], HandSet]] = {
        "domed_base": _base,
        "recessed_end": _end,
        "spherical_cap": _cap,
        "complete_sphere": _sphere,
        "cylinder": _cylinder,
        "circular_plate": _plate,
        "torispherical_head": _torisphere,
        "ellipsoidal_head": _ellipsoid,
    }
    maker = makers.get(case.family)
    return {} if maker is None else {kind: found for kind, found in maker(case).items() if found}


def bulge(case: Case, pressure: float) -> Formula | None:
    """Hand value of how far the centre of a panel or plate rises at a pressure [mm]."""
    if case.family == "recessed_end":
        panel = {"pressure": pressure, "radius": _radius_at(case.meridian, "panel edge"), **_wall(case)}
        bent = plate.clamped_fixed_large_deflection(**panel)
        return bent if bent.in_range else plate_membrane.membrane_bulge(**panel)
    if case.family == "circular_plate" and not _pierced(case):
        rule = {
            "clamped": plate.clamped_fixed_large_deflection,
            "guided": plate.clamped_sliding_large_deflection,
            "pinned": plate.hinged_fixed_large_deflection,
            "roller": plate.hinged_sliding_large_deflection,
        }.get(case.supports.outer_edge or "")
        return None if rule is None else rule(pressure=pressure, radius=_edge_radius(case.meridian), **_wall(case))
    return None


def _base(case: Case) -> HandSet:
    dome = _named(case.meridian, "dome")
    if dome is None:
        return {}
    radius, rolling = _radius(dome), _base_rolling(case)
    shell = {"radius": radius, **_wall(case)}
    half_angle = _edge_angle(case.meridian, "dome edge")
    bound = cap.lower_bound(half_angle=half_angle, **shell)
    return {
        "LBA": (sphere.classical_pressure(**shell),),
        "GNA": (cap.clamped_bifurcation(half_angle=half_angle, **shell), bound),
        "MNA": _plastic(case, lambda y: (sphere.squash_pressure(yield_stress=y, **_sizes(shell)),)),
        "GMNA": (*rolling, sphere.classical_pressure(**shell), bound, *_interaction(case, shell)),
    }


def _base_rolling(case: Case) -> tuple[Formula, ...]:
    parts = {piece.name: piece for piece in case.meridian.pieces}
    leg = parts.get("inner leg") or parts.get("upper leg")
    outer = parts.get("outer leg")
    if leg is None or outer is None or case.material.hardening is None:
        return ()
    sizes = {
        "stand_radius": _radius_at(case.meridian, "stand"),
        "nose_radius_inner": _radius(parts["nose inner"]),
        "nose_radius_outer": _radius(parts["nose outer"]),
        "inner_leg_angle": _rounded(RIGHT_ANGLE - _turn(parts["nose inner"])),
        "leg_length": leg.length,
        "dome_corner_radius": _radius(parts["dome corner"]),
        "dome_radius": _radius(parts["dome"]),
        "dome_half_angle": _edge_angle(case.meridian, "dome edge"),
        "outer_leg_angle": RIGHT_ANGLE - _turn(parts["nose outer"]),
        "outer_leg_length": outer.length,
        "thickness": parts["nose inner"].thickness[1],
    }
    if groove := parts.get("reform groove"):
        undercut = parts["undercut leg"].length
        sizes |= {"reform_radius": _radius(groove), "reform_turn": _turn(groove), "undercut_length": undercut}
    if chime := parts.get("chime"):
        sizes |= {"chime_radius": _radius(chime), "chime_turn": -_curvature(chime) * chime.length}
    return (stand.base_rolling(**sizes, **_elastic(case), **_flow(case.material.hardening)),)


def _end(case: Case) -> HandSet:
    groove = _named(case.meridian, "countersink")
    if groove is None:
        return {}
    size = {"radius": _radius_at(case.meridian, "panel edge"), "thickness": _thickness(case)}
    return {
        "MNA": _plastic(case, lambda y: (plate.clamped_limit(yield_stress=y, **size),)),
        "GMNA": _countersink_rolling(case),
    }


def _countersink_rolling(case: Case) -> tuple[Formula, ...]:
    parts = {piece.name: piece for piece in case.meridian.pieces}
    groove, lower = parts["countersink"], parts.get("chuck wall") or parts["lower chuck wall"]
    if case.material.hardening is None:
        return ()
    lean = _rounded(RIGHT_ANGLE - _turn(parts["panel radius"]) - _edge_angle(case.meridian, "panel edge"))
    sizes = {
        "ring_radius": _radius_at(case.meridian, "countersink"),
        "countersink_radius": _radius(groove),
        "panel_radius": _radius(parts["panel radius"]),
        "panel_depth": -float(case.meridian.at_s(case.meridian.points["countersink"]).z),
        "panel_wall_angle": lean,
        "chuck_wall_angle": _rounded(2.0 * RIGHT_ANGLE - lean - _turn(groove)),
        "chuck_wall_length": lower.length,
        "thickness": groove.thickness[0],
    }
    if bend := parts.get("chuck bend"):
        sizes |= {"chuck_bend_radius": _radius(bend), "chuck_bend_turn": -_curvature(bend) * bend.length}
        sizes |= {"upper_chuck_wall_length": parts["upper chuck wall"].length}
    return (stand.countersink_rolling(**sizes, **_flow(case.material.hardening)),)


def _cap(case: Case) -> HandSet:
    shell = {"radius": _radius(case.meridian.pieces[0]), **_wall(case)}
    if not _pressed_from_convex_side(case):
        return {"MNA": _plastic(case, lambda y: (sphere.squash_pressure(yield_stress=y, **_sizes(shell)),))}
    angle = _edge_angle(case.meridian, "edge")
    hinged = case.supports.outer_edge == "pinned"
    held = case.supports.outer_edge in ("clamped", "pinned")
    clamped_rules = (cap.clamped_bifurcation, cap.clamped_limit_point)
    waves, limit = (cap.hinged_bifurcation, cap.hinged_limit_point) if hinged else clamped_rules
    curve = capacity.dome_hinged if hinged else capacity.dome_clamped
    return {
        "LBA": (sphere.classical_pressure(**shell),),
        "GNA": (waves(half_angle=angle, **shell), limit(half_angle=angle, **shell)) if held else (),
        "MNA": _plastic(case, lambda y: (sphere.squash_pressure(yield_stress=y, **_sizes(shell)),)),
        "GMNA": (
            *_interaction(case, shell),
            *(_plastic(case, lambda y: (curve(yield_stress=y, quality=FINEST_QUALITY, **shell),)) if held else ()),
            cap.lower_bound(half_angle=angle, **shell),
        ),
    }


def _sphere(case: Case) -> HandSet:
    shell = {"radius": _radius(case.meridian.pieces[0]), **_wall(case)}
    squash = _plastic(case, lambda y: (sphere.squash_pressure(yield_stress=y, **_sizes(shell)),))
    if not _pressed_from_convex_side(case):
        return {"MNA": squash, "GMNA": squash}
    elastic = (sphere.shear_flexible_pressure(**shell), sphere.classical_pressure(**shell))
    return {"LBA": elastic, "GNA": elastic, "MNA": squash, "GMNA": _interaction(case, shell)}


def _cylinder(case: Case) -> HandSet:
    size = {"radius": _edge_radius(case.meridian), "thickness": _thickness(case)}
    if case.loads.pressure_side == "inside":
        rule = tube.closed_limit if case.loads.end_thrust else tube.open_limit
        burst = _plastic(case, lambda y: (rule(yield_stress=y, **size),))
        return {"MNA": burst, "GMNA": burst}
    rule_outside = cylinder.hydrostatic_pressure if case.loads.end_thrust else cylinder.lateral_pressure
    waves = rule_outside(length=case.meridian.length, radius=size["radius"], **_wall(case))
    return {"LBA": (waves,), "GNA": (waves,)}


def _torisphere(case: Case) -> HandSet:
    shape = {name: case.dimensions[name] for name in ("diameter", "crown_radius", "knuckle_radius")}
    if _pressed_from_convex_side(case):
        return _head_outside(case, shape, shape["crown_radius"])
    return _head_inside(case, shape)


def _ellipsoid(case: Case) -> HandSet:
    """Hand values of the equivalent torisphere; under outside pressure of the sphere that touches the pole."""
    diameter = case.dimensions["diameter"]
    flatness = case.dimensions["aspect_ratio"] or 0.5 * diameter / case.dimensions["depth"]
    # EN 13445-3, clause 7.5.4 (from memory), for flatness from 1.7 to 2.2; beyond it there is no equivalent.
    crown, knuckle = diameter * (0.44 * flatness + 0.02), diameter * (0.5 / flatness - 0.08)
    shape = {"diameter": diameter, "crown_radius": crown, "knuckle_radius": knuckle} if 1.7 < flatness < 2.2 else {}
    if _pressed_from_convex_side(case):
        return _head_outside(case, shape, 0.5 * diameter * flatness)
    return _head_inside(case, shape) if shape else {}


def _head_inside(case: Case, shape: Mapping[str, float]) -> HandSet:
    metal = {"youngs_modulus": case.material.youngs_modulus}
    size = {**shape, "thickness": _thickness(case)}
    tests = (head_plastic.knuckle_buckling, head_plastic.shield_drucker_limit)
    fits = (head_plastic.plastic_waves, head_plastic.axisymmetric_yielding)
    return {
        "LBA": (head_asme_knuckle.elastic_knuckle_buckling(**metal, **size),),
        "MNA": _plastic(case, lambda y: (head_plastic.shield_drucker_limit(yield_stress=y, **size),)),
        "GMNA": _plastic(
            case,
            lambda y: (
                *(rule(yield_stress=y, **metal, **size) for rule in fits),
                *(rule(yield_stress=y, **size) for rule in tests),
            ),
        ),
    }


def _head_outside(case: Case, shape: Mapping[str, float], radius: float) -> HandSet:
    """The crown or pole as a sphere of its radius, and the knuckle's mechanism, which does not ask for the side."""
    shell = {"radius": radius, **_wall(case)}
    size = {**shape, "thickness": _thickness(case)}
    limit = _plastic(case, lambda y: (head_plastic.shield_drucker_limit(yield_stress=y, **size),)) if shape else ()
    squash = _plastic(case, lambda y: (sphere.squash_pressure(yield_stress=y, **_sizes(shell)),))
    curve = _plastic(case, lambda y: (capacity.dome_clamped(yield_stress=y, quality=FINEST_QUALITY, **shell),))
    elastic = (sphere.classical_pressure(**shell),)
    return {
        "LBA": elastic,
        "GNA": elastic,
        "MNA": (*limit, *squash),
        "GMNA": (*limit, *curve, *_interaction(case, shell)),
    }


def _plate(case: Case) -> HandSet:
    rule = {"clamped": plate.clamped_limit, "roller": plate.supported_limit}.get(case.supports.outer_edge or "")
    if rule is None or _pierced(case):
        return {}
    size = {"radius": _edge_radius(case.meridian), "thickness": _thickness(case)}
    return {"MNA": _plastic(case, lambda y: (rule(yield_stress=y, **size),))}


def _pierced(case: Case) -> bool:
    """Tell whether a plate has a hole, which the formulas of a plate have not."""
    return not case.meridian.closed_at_start


def _interaction(case: Case, shell: Mapping[str, float]) -> tuple[Formula, ...]:
    elastic = sphere.classical_pressure(**shell).value

    def two_terms(yield_stress: float) -> tuple[Formula, ...]:
        squash = sphere.squash_pressure(yield_stress=yield_stress, **_sizes(shell)).value
        if elastic is None or squash is None:
            return ()
        return (capacity.two_term(elastic_pressure=elastic, plastic_pressure=squash),)

    return _plastic(case, two_terms)


def _plastic(case: Case, make: Callable[[float], tuple[Formula, ...]]) -> tuple[Formula, ...]:
    return () if case.material.hardening is None else make(case.material.hardening.yield_stress)


def _flow(law: Hardening) -> dict[str, float]:
    """The Voce law through the flow stress at the proof strain and one and two bends beyond it.

    A Voce law is met exactly; one that does not saturate goes on in a straight line.
    """
    proof, once, twice = law.stress_and_slope(PROOF_STRAIN + BEND_STRAIN * np.array([0.0, 1.0, 2.0]))[0]
    if once <= proof:
        return {"yield_stress": float(proof), "hardening_increment": 0.0, "hardening_rate": 1.0}
    decay = float(np.clip((twice - once) / (once - proof), 1e-6, 1.0 - 1e-6))
    rate, left = -np.log(decay) / BEND_STRAIN, (once - proof) / (1.0 - decay)
    increment = float(left * np.exp(rate * PROOF_STRAIN))
    return {
        "yield_stress": float(proof + left - increment),
        "hardening_increment": increment,
        "hardening_rate": float(rate),
    }


def _wall(case: Case) -> dict[str, float]:
    return {**_elastic(case), "thickness": _thickness(case)}


def _elastic(case: Case) -> dict[str, float]:
    return {"youngs_modulus": case.material.youngs_modulus, "poissons_ratio": case.material.poissons_ratio}


def _sizes(shell: Mapping[str, float]) -> dict[str, float]:
    return {"radius": shell["radius"], "thickness": shell["thickness"]}


def _thickness(case: Case) -> float:
    return case.meridian.pieces[0].thickness[0]


def _pressed_from_convex_side(case: Case) -> bool:
    """Tell whether pressure compresses: the wall bends towards the side that it does not come from."""
    left = case.loads.pressure_side == ("inside" if case.meridian.inside == "left" else "outside")
    return left == (_curvature(case.meridian.pieces[0]) < 0.0)


def _named(meridian: Meridian, name: str) -> AnyPiece | None:
    return next((piece for piece in meridian.pieces if piece.name == name), None)


def _curvature(piece: AnyPiece) -> float:
    return float(piece.walk(np.zeros(1)).curvature[0])


def _radius(piece: AnyPiece) -> float:
    return 1.0 / abs(_curvature(piece))


def _turn(piece: AnyPiece) -> float:
    """Angle by which an arc turns, whichever way [rad]."""
    return abs(_curvature(piece)) * piece.length


def _rounded(angle: float) -> float:
    """Take off round-off, so that an upright wall is at zero."""
    return round(angle, 12)


def _edge_angle(meridian: Meridian, point: str) -> float:
    """Angle between axis and normal at a named point [rad]."""
    return abs(float(meridian.at_s(meridian.points[point] * (1.0 - 1e-12)).heading))


def _radius_at(meridian: Meridian, point: str) -> float:
    return float(meridian.at_s(meridian.points[point]).r)


def _edge_radius(meridian: Meridian) -> float:
    return float(meridian.at_s(meridian.length).r)
