"""The page docs/container-facts.md: what the trade says of containers, against what the formulas say."""

from collections.abc import Iterator, Sequence
from textwrap import fill

from scipy.optimize import brentq

from buckle.container.metal import Metal
from buckle.container.stack import ADULT, Stack
from buckle.demand.balance import balance
from buckle.demand.drinks import DRINKS
from buckle.demand.filling import Body, Filling, carbonated
from buckle.demand.reached import held_up_to
from buckle.formulas import packing
from scripts.tables import container_end as end
from scripts.tables import container_tea as tea
from scripts.tables import container_wall as wall

CAN = Body(355e3, 20e3, 4.0)
DRINK = DRINKS["sugared"]
TEMPERATURES = (4.0, 20.0, 38.0, 60.0)  # degC: cold store, room, warm warehouse, pasteuriser
VOLUMES = (2.5, 2.8, 3.5, 3.8)
WARM_AT = 38.0
CONTAINERS, SAVED = 100e9, 0.9  # common practice, no source

PAGE = """\
# Facts of the trade, worked out

Made by `scripts/pages` from the code. The trade has numbers for containers that everybody knows and nobody has a source
for ("common practice, no source"). Here they stand beside what the formulas of this repository give, with the
difference and why. None of them is an input of any calculation.

## Pressure: about 2 bar at fill, about 4 bar warm, designed for about 6.2 bar

Gauge bar in 355 ml of a sugared drink (solubility {factor:g} of water's, from memory) with 20 ml of headspace, rigid,
no air, closed at 4 degC (`docs/demand.md` says how):

{gas}

4 bar at 38 degC is a drink of {four:.1f} volumes. The same drink makes {same_cold:.1f} bar at 4 degC, {same_room:.1f}
at 20 degC, and 2 bar at {two:.0f} degC: "2 bar at fill" goes with "4 bar warm" where filling is at room temperature,
and is {over:.1f} times too high for a cold filler. 6.2 bar is reached at {reached:.0f} degC, just below the usual
temperatures of tunnel pasteurising (60 to 65 degC, from memory); a drink of 3.8 volumes reaches it at {strong:.0f}
degC. **6.2 bar is a purchase value and no bound**: the pasteuriser or a hot car goes beyond it. The contents of the
case at hand decide, `buckle demand CASE`.

## Wall: 0.075 to 0.1 mm

A wall of 65 mm diameter, ironed aluminium (yield {yielded:g} MPa, from memory); empty containers by the lower bound of
NASA/SP-8007-2020:

| what it must do | thickness by hand |
|---|---:|
| not yield as a closed tube at 6.2 bar | {for_yield:.3f} mm |
| carry 600 N empty, the least of three measured containers | {for_600:.3f} mm |
| carry 800 N empty, the low end of what is asked for (common practice, no source) | {for_800:.3f} mm |
| carry 1000 N empty, the high end | {for_1000:.3f} mm |

Pressure asks for less than the trade's thinnest wall; the axial force on an empty container asks for the trade's range,
but for its thinnest walls. Three measured containers (an engineering firm's report, wall 0.076 mm) gave way at 600 to
845 N: above the lower bound of such a wall, {bound_thin:.0f} N, and below its classical force, {classical_thin:.0f} N,
as walls do. Whether wall, neck or stand gave way is not told, and the formulas know the wall alone.

## An adult stands on it

{adult:g} kg (common practice, no source) weigh {force:.1f} N, at rest and in the middle; 65 mm diameter. A closed
container's pressure pushes its end up with p pi R^2: from **{relieving:.2f} bar** on the wall is not compressed at all.

| wall | classical force | lower bound, empty | ripples that leave the adult | ripples of one wall leave | at 2 bar |
|---:|---:|---:|---:|---:|---:|
{stood}

- **Pressurised, the wall carries the adult**: from {relieving:.2f} bar on whatever its dents, since it is in tension;
  at 2 bar the thrust takes {share:.0f} % of the weight, and ripples of one wall leave far more than the rest. Neck and
  stand are not in these formulas, and no test of them under pressure was found.
- **Empty and dented it does not**: ripples of less than one wall in thickness, less than 0.1 mm, are enough. They run
  all around, the worst of shapes; a single dent of that depth may leave more, a deep one or a fold less, and no
  formula here tells how much.
- **Empty and undented it is open**: the lower bound lies from {least:.0f} % below to {most:.0f} % above the weight,
  and the three measured containers on both sides of it.

An adult who steps or jumps is more than his weight. No calculation here makes it safe to stand on a container.

## Ends: 60 to 54 mm saves about 0.9 g

The classic end of 54 mm (`cases/benchmarks/end/e1-gmna.toml`) and the same section on a diameter 6 mm larger, with a
ring for curl and hook that makes the disc of the small one {blank:g} mm (from memory):

| end | gauge | rolling of the countersink, by hand | GMNA | mass | mass with its share of the strip |
|---|---:|---:|---:|---:|---:|
{ends}

The larger end of **equal gauge** weighs {equal:.2f} g more, about half of the trade's number: but it carries
{weaker:.0f} % less by hand, {computed_weaker:.0f} % by GMNA. Of **equal strength** it weighs {strong_mass:.2f} g more,
{bought:.2f} g with the skeleton of the strip. The trade's 0.9 g lies between the two: it is right for ends that must
carry the same. What the body needs for a longer neck is not in it. Equal strength is that of the hand value; by GMNA
the larger end then carries {off:.1f} % less, which asks for about {off_gauge:.1f} % of gauge and {off_mass:.2f} g more.
100 billion containers: 0.9 g are {tonnes:,.0f} t, as the trade says ("at least 90 000 t"); {strong_mass:.2f} g are
{own_tonnes:,.0f} t.

## Packing: 74, 91 and 100 %

| what | pattern | share |
|---|---|---:|
| spheres | cubic close packing | {spheres:.2f} % |
| cylinders | rows set off by half a step | {hexagonal:.2f} % |
| cylinders | rows and columns | {square:.2f} % |
| cubes | | {cubes:.0f} % |

The trade's numbers are these without gaps and edges. On a pallet of 1.2 by 1 m with containers of {outer:.1f} mm and
{gap:g} mm between them: {staggered:.0f} set off, {squares:.0f} in rows and columns; with their gaps they cover
{covered:.1f} and {covered_square:.1f} % of it.

## The invented tea container as one

`cases/demo/container.toml`: its base and end, a wall of 0.1 mm and a neck of 0.15 mm, as high as 330 ml and 20 ml of
headspace ask for ({height:.0f} mm); `buckle draw cases/demo/container.toml` tells the same numbers. The base is cut at
the foot of its wall: how much of the wall its case looks at does not count.

| part | mass |
|---|---:|
{parts}

To the brim it holds {brim:.1f} ml; the end takes {recess:.1f} ml of it, and the liquid stands {below:.1f} mm below the
brim. Curl, hooks and flange are not in these masses; in the disc of the end below they are.

| | body | end |
|---|---:|---:|
{metal}

Prices are invented: 3.00 a kilogram, 1.50 for clean scrap; ten rows on the strip, 1 mm between discs.

| state | mass | one may carry | layers at a dynamic factor of {dynamic:g} | height |
|---|---:|---:|---:|---:|
{stacks}

The empty one by the least of the measured containers, the filled one by the lower bound of its wall and the thrust of
its {cold:.1f} bar. No pallet is as high as that: lean, trays and lorries limit it, and the wall does not. Under a
vacuum the wall panels at {vacuum:.0f} mbar in {waves:.0f} waves (perfect, `cylinder.hydrostatic_pressure`).
"""


def document() -> str:
    """Return the page."""
    page = PAGE.format(**_pressures(), **_wall(), **_ends(), **_packing(), **_tea())
    return "\n\n".join(map(_filled, page.rstrip("\n").split("\n\n"))) + "\n"


def _filled(block: str) -> str:
    """Return a paragraph filled to the width of the page; headings, tables and lists as they are."""
    return block if block[0] in "#|-" else fill(" ".join(block.split()), 120, break_on_hyphens=False)


# Pressures ------------------------------------------------------------------------------------------------------------


def filling(volumes: float) -> Filling:
    """The drink of the table."""
    return carbonated(CAN, volumes, DRINK, 0.0)


def gauge(volumes: float, temperature: float) -> float:
    """Gauge pressure at sea level [MPa]."""
    return balance(filling(volumes), temperature).gauge


def volumes_for(pressure: float, temperature: float) -> float:
    """Carbonation that makes a gauge pressure [MPa]."""
    return float(brentq(lambda volumes: gauge(volumes, temperature) - pressure, 1.0, 6.0))


def held(volumes: float, pressure: float) -> float:
    """Temperature at which a pressure [MPa] is reached [degC]."""
    found = held_up_to(filling(volumes), lambda _: pressure).temperature
    assert found is not None
    return found


def _reached(volumes: float) -> str:
    return f"{held(volumes, wall.DESIGN):.0f} degC"


def _pressures() -> dict[str, object]:
    four = volumes_for(wall.WARM, WARM_AT)
    heads = (*(f"{at:g} degC" for at in TEMPERATURES), "6.2 bar at")
    rows = [
        (
            f"{volumes:g}",
            *(f"{10 * gauge(volumes, at):.2f}" for at in TEMPERATURES),
            f"{held(volumes, wall.DESIGN):.0f} degC",
        )
        for volumes in VOLUMES
    ]
    return {
        "factor": DRINK.factor,
        "gas": "\n".join(_table(("volumes", *heads), rows)),
        "four": four,
        "same_cold": 10 * gauge(four, 4.0),
        "same_room": 10 * gauge(four, 20.0),
        "two": held(four, wall.FILL),
        "over": wall.FILL / gauge(four, 4.0),
        "reached": held(four, wall.DESIGN),
        "strong": held(3.8, wall.DESIGN),
    }


def _table(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> Iterator[str]:
    yield _row(heads)
    yield "|" + "---:|" * len(heads)
    yield from map(_row, rows)


def _row(cells: Sequence[str]) -> str:
    return f"| {' | '.join(cells)} |"


# Wall and ends --------------------------------------------------------------------------------------------------------


def _wall() -> dict[str, object]:
    found = [wall.stood(thickness) for thickness in wall.GAUGES]
    rows = (
        (
            f"{each.thickness:g} mm",
            f"{each.classical:.0f} N",
            f"{each.bound:.0f} N",
            f"{each.ripples:.2f} walls, {each.ripples * each.thickness:.3f} mm",
            f"{each.rippled:.0f} N",
            f"{each.rippled_at_fill:.0f} N",
        )
        for each in found
    )
    thin = wall.stood(wall.MEASURED)
    over = [100.0 * (each.bound / wall.adult() - 1.0) for each in found]
    return {
        "yielded": wall.YIELD,
        "for_yield": wall.thickness_for_yield(wall.DESIGN),
        "for_600": wall.thickness_for_force(600.0),
        "for_800": wall.thickness_for_force(800.0),
        "for_1000": wall.thickness_for_force(1000.0),
        "adult": ADULT,
        "force": wall.adult(),
        "relieving": 10.0 * wall.relieving(),
        "stood": "\n".join(map(_row, rows)),
        "share": 100.0 * wall.FILL / wall.relieving(),
        "bound_thin": thin.bound,
        "classical_thin": thin.classical,
        "least": -min(over),
        "most": max(over),
    }


def _carried(each: end.End) -> tuple[str, str]:
    return f"{10 * each.pressure:.2f} bar", f"{10 * each.computed:.2f} bar"


def _ends() -> dict[str, object]:
    found = end.ends()
    named = (
        ("54 mm", found.small),
        ("60 mm, equal gauge", found.same_gauge),
        ("60 mm, equal strength", found.same_pressure),
    )
    rows = (
        (name, f"{each.gauge:.4f} mm", *_carried(each), f"{each.mass:.2f} g", f"{each.bought:.2f} g")
        for name, each in named
    )
    off = 1.0 - found.same_pressure.computed / found.small.computed
    more = found.same_pressure.mass - found.small.mass
    return {
        "blank": end.BLANK,
        "ends": "\n".join(map(_row, rows)),
        "equal": found.same_gauge.mass - found.small.mass,
        "weaker": 100.0 * (1.0 - found.same_gauge.pressure / found.small.pressure),
        "computed_weaker": 100.0 * (1.0 - found.same_gauge.computed / found.small.computed),
        "strong_mass": more,
        "bought": found.same_pressure.bought - found.small.bought,
        "off": 100.0 * off,
        "off_gauge": 100.0 * off / found.exponent,
        "off_mass": found.same_pressure.mass * off / found.exponent,
        "tonnes": CONTAINERS * SAVED * 1e-6,
        "own_tonnes": round(CONTAINERS * more * 1e-6, -3),
    }


# Packing and the whole ------------------------------------------------------------------------------------------------


def _packing() -> dict[str, object]:
    square, staggered = tea.per_layer()
    rules = {
        "spheres": packing.sphere_share,
        "hexagonal": packing.hexagonal_share,
        "square": packing.square_share,
        "cubes": packing.cube_share,
    }
    return {
        **{name: 100.0 * (rule(diameter=1.0).value or 0.0) for name, rule in rules.items()},
        "gap": tea.tea().pallet.gap,
        "outer": tea.outer_diameter(),
        "staggered": staggered.value,
        "squares": square.value,
        "covered": 100.0 * staggered.number("c"),
        "covered_square": 100.0 * square.number("c"),
    }


def _tea() -> dict[str, object]:
    found = tea.tea()
    volumes, cuts = found.volumes, [found.cuts[name] for name in ("body", "end")]
    assert volumes.closed is not None
    panelling = tea.panelling()
    masses = [*((part.name, part.mass) for part in found.parts), ("all", found.mass)]
    return {
        "height": volumes.height,
        "parts": "\n".join(_row((name, f"{mass:.2f} g")) for name, mass in masses),
        "brim": 1e-3 * volumes.brim,
        "recess": 1e-3 * (volumes.brim - volumes.closed),
        "below": volumes.filled_below_brim,
        "metal": "\n".join(map(_row, _metal_rows([each.disc for each in cuts], [each.metal for each in cuts]))),
        "dynamic": found.pallet.dynamic_factor,
        "stacks": "\n".join(_row(_stack_cells(each)) for each in tea.stacks()),
        "cold": 10.0 * tea.cold_pressure(),
        "vacuum": 1e4 * (panelling.value or 0.0),
        "waves": panelling.number("n"),
    }


def _metal_rows(discs: Sequence[float], metals: Sequence[Metal]) -> Iterator[tuple[str, ...]]:
    yield "disc", *(f"{disc:.1f} mm" for disc in discs)
    yield "in the part", *(f"{each.part:.2f} g" for each in metals)
    yield "trimmed off", *(f"{each.trimmed:.2f} g" for each in metals)
    yield "skeleton of the strip", *(f"{each.skeleton:.2f} g" for each in metals)
    yield "paid for a thousand", *(f"{each.paid:.2f}" for each in metals)
    yield "returned as scrap", *(f"{each.returned:.2f}" for each in metals)
    yield "metal of a thousand", *(f"{each.net:.2f}" for each in metals)


def _stack_cells(stack: Stack) -> tuple[str, ...]:
    layers = "none" if stack.layers is None else f"{stack.layers}"
    force = f"{stack.state.allowed_force:.0f} N"
    return stack.state.name, f"{stack.state.mass:.1f} g", force, layers, f"{1e-3 * stack.height:.0f} m"
