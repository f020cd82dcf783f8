"""The page docs/demand.md: what the contents of a container make, against published tables."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace

from buckle.case import read_case
from buckle.demand.balance import balance
from buckle.demand.conditions import with_weiss
from buckle.demand.drinks import DRINKS, UNKNOWN, WATER, Drink
from buckle.demand.filling import Body, Evenly, Filling, carbonated, closed_in_air, nitrogen_dosed
from buckle.margins.contents import where
from buckle.material import softenings
from scripts.paths import CASES
from scripts.tables.demand_rows import CARBONATED, CARBONATED_AT, NITROGEN, NITROGEN_AT

CAN, ROOM = Body(355e3, 20e3, 4.0), Body(355e3, 20e3, 20.0)
WARM = 60.0
ALUMINIUM = 23e-6  # 1/K, linear expansion (from memory)
SQUEEZE = 4.5e-4  # 1/MPa, compressibility of water (from memory)

TOP = """\
# The pressure that contents make

Made by `scripts/pages` from the code. `buckle demand CASE` works out what `[contents]` of a case makes in each of its
conditions and prints every step of the one that governs, with its source.

## How

A closed container at a temperature holds what was closed in, and liquid and gas are in balance:

```text
n    = n_l + n_g                          of each gas; nothing is lost (the balance closes to 1e-10, tests)
n_g  = p_i V_g / (Z R T)                  Z = 1 + B p_i / (R T), second virial coefficient B; 1 but for carbon dioxide
n_l  = n_w x / (1 - x)                    x = s f / (k_H P), f = p_i exp(B p_i / (R T)), P = exp(v p_abs / (R T))
V_g  = V_l0 + V_g0 + dV - V_l             liquid expands as water does; the container gains dV under its gauge pressure
p    = p_sat + sum of p_i - p_out         gauge
```

| what | source | range |
|---|---|---|
| Henry's constant k_H of carbon dioxide | IAPWS G7-04 (Fernandez-Prini, Alvarez, Harvey 2003) | 1 degC up |
| ... of nitrogen; of oxygen | the same; oxygen's coefficients from memory | 5 degC up; 1 degC up |
| solubility of carbon dioxide a second time | Weiss 1974, fresh water | -1 to 40 degC (from memory) |
| B, and the partial volume v = 32.3 cm3/mol | Weiss 1974 | -8 to 47 degC (from memory) |
| P, pressure on the liquid | Krichevsky and Kasarnovsky 1935 (from memory) | |
| vapour pressure | Wagner and Pruss 1993 | 0 to 374 degC |
| density of water | Kell 1975 (coefficients from memory, held against Tanaka 2001 and tables) | 0 to 150 degC |
| air outside | ISO 2533 (from memory) | to 11 km |

0 to 100 degC and -1 to 11 km are accepted; where a source is left inside of that, the result says so. One volume of
carbon dioxide is a litre of it at 0 degC and 1 atm (22.263 l/mol, 1.977 g/l) per litre of drink, and
`carbonation_volumes` counts **all that is closed in**. Volumes read from pressure and temperature of a closed can are
what its liquid holds; what its headspace holds must be added to them ({headspace} for 20 ml beside 355 ml at 4 degC and
3.8 volumes).

What is closed in with `gas = "nitrogen"` is in balance with the liquid at the fill pressure, with `gas = "air"`
(hot-filled, or still) at 1 atm. Air beside carbon dioxide is taken not to dissolve, the safe side.

## Where the case is silent

What is taken is said, and for the drink and the container it is the safe side:

- The **drink**: solubility {unknown} of water's, less than any known here, since less solubility is more pressure.
- **Air** in the headspace (`air_fraction`): none, as after flushing or foaming. What a headspace full of air would add
  is worked out and said each time, since it is much: see the table below.
- The **container** (`compliance_ml_per_bar`): rigid. `buckle demand CASE --compliance` lets the case's own body give
  way instead: the volume that its elastic-plastic path gains (GMNA, or GNA of metal that does not yield) is shared with
  the contents until pressure and volume agree, and the number to write into the case is said, since a run judges by
  what the case says. Only that body gives way, up to the edges of its meridian; the rest of the container is rigid and
  the pressure is the first, both on the safe side. A body pressed from outside is not followed.

| drink | solubility / water's | source | 3.8 volumes at 60 degC, gauge |
|---|---:|---|---:|
{drinks}

| air in the headspace at closing | at 4 degC | at 20 degC | at 38 degC | at 60 degC |
|---:|---:|---:|---:|---:|
{air}

(3.8 volumes in 355 + 20 ml of water, closed at 4 degC, gauge bar.)

## Against tables

The tables below were computed by other code from the same sources (collected trade data): 355 ml of water and 20 ml of
headspace, rigid, sea level, no air. Each cell: here / difference to the table in per cent.

### Carbonated, closed at 4 degC

{carbonated}

Largest difference {worst}, at the highest pressures; all within 1 % below 10 bar but for the rounding of two decimals.
The table leaves out P, the pressure on the liquid, which drives gas out of it: with P = 1 the largest difference is
{plain}. Here it is counted, being the safe side. The same collection gives values without headspace (3.47, 5.96 and
9.42 bar for 3.8 volumes at 20, 38 and 60 degC): these take the gas as ideal and are 2 to 4 % lower than the table's own
equations give. Its compliance of 0.4 ml/bar, 8.66 for 8.89 bar, is met.

### Nitrogen, closed at 20 degC

{nitrogen}

No difference but rounding. For drinks no solubility of nitrogen was found: water's is taken. 11 % less would move these
by {other_nitrogen}.

## Two solubilities

Water, 3.8 volumes as above, gauge bar:

| degC | G7-04, which counts | Weiss | difference |
|---:|---:|---:|---:|
{weiss}

Weiss is the closer fit where it is cold, and there G7-04 is on the safe side; beyond 40 degC Weiss is extrapolated. The
data behind G7-04 scatter about it by 5.3 % (root mean square): the pressure is not known better than that, and nothing
is added for it.

## What is left out

| left out | effect on 3.8 volumes at 60 degC | side |
|---|---:|---|
| the container expands with its metal (aluminium, 23e-6/K from memory) | {metal} | safe |
| the liquid is squeezed by its pressure (4.5e-4/MPa from memory) | {squeezed} | safe |
| air dissolves (a headspace full of it; a third of it taken up) | {dissolved} | safe |
| gas that has not come to balance: in a pasteuriser the liquid warms first | not worked out | safe |
| sugar, alcohol and salt in density and vapour pressure | not worked out | either |
| forces between unlike gases in the headspace | not worked out | either |
| refermentation, foaming, a filler's scatter | not worked out | **unsafe**: give the highest volumes and liquid |

A vacuum: juice closed at 85 degC under air, 355 + 20 ml, is at {vacuum} bar when it has cooled to 20 degC. A drink
without air in it takes up more of the headspace's, down to p_sat - p_out = -0.99 bar: that is the bound. A vacuum acts
from outside: it does not judge a case whose pressure acts from inside, and the result says so; a case with
`pressure_side = "outside"` is judged by it.

## What it holds

A run tells up to which temperature its body holds what is filled in: where the pressure of the contents comes to the
lowest judged capacity over the partial factor, or to where as much plastic strain (or growth, without a service
pressure) as is allowed is reached, if that comes first. The metal softens on the way. If modulus and stresses all fall
by one factor, so does what it carries (p is linear in them together), and it carries no less where one of the two falls
less: the lesser factor gives a lower bound. With `warm_metal = true` the analyses themselves take the metal at the
temperature of the governing condition; without it they take it at 20 degC, and the result says how much weaker it is.
Where what is left at that lower bound would not carry a condition of the contents, a met verdict is one with doubt.
That temperature is of the shape that decides and of contents in balance, and no margin is taken off it.

Parts left, all **from memory**, rounded to the low side:

{softening}

## The demonstration

`cases/demo/base.toml`, an invented tea of 2.5 volumes:

{demo}

Common practice (no source) speaks of about 2 bar at fill, about 4 bar warm and a design for 6.2 bar. Warm and design
agree; at 4 degC this drink makes {cold} bar, and 2 bar at {two} degC: "at fill" is met by drinks of 4 volumes or by
warmer filling.
"""


def document() -> str:
    """Return the page."""
    cells = list(_carbonated_cells())
    return TOP.format(
        headspace=_headspace_volumes(),
        unknown=f"{UNKNOWN.factor:g}",
        drinks="\n".join(_drink_rows()),
        air="\n".join(_air_rows()),
        carbonated=_table("volumes", CARBONATED_AT, CARBONATED, _carbonated),
        nitrogen=_table("gauge at 20 degC", NITROGEN_AT, NITROGEN, _nitrogen),
        worst=_largest(cells, 0),
        plain=_largest(cells, 1),
        other_nitrogen=_nitrogen_of_a_drink(),
        weiss="\n".join(_weiss_rows()),
        softening="\n".join(_softening_rows()),
        **_left_out(),
        **_demonstration(),
    )


def gauge(filling: Filling, temperature: float) -> float:
    """Gauge pressure at sea level [bar]."""
    return 10.0 * balance(filling, temperature).gauge


def unsqueezed(filling: Filling) -> Filling:
    """Return the filling with P = 1."""
    charges = tuple(replace(each, gas=replace(each.gas, partial_volume=0.0)) for each in filling.charges)
    return replace(filling, charges=charges)


def _carbonated(volumes: float) -> Filling:
    return carbonated(CAN, volumes, WATER, 0.0)


def _nitrogen(fill: float) -> Filling:
    return nitrogen_dosed(ROOM, 0.1 * fill, WATER)


def _carbonated_cells() -> Iterator[tuple[float, float, float]]:
    """Yield here, with P = 1, and the table's, for each of its cells."""
    for volumes, row in CARBONATED.items():
        for temperature, published in zip(CARBONATED_AT, row, strict=True):
            filling = _carbonated(volumes)
            yield gauge(filling, temperature), gauge(unsqueezed(filling), temperature), published


def _largest(cells: Sequence[tuple[float, float, float]], which: int) -> str:
    """The largest difference of what the rounding of the table leaves, in per cent."""
    off = [(each[which] - each[2]) / each[2] for each in cells if abs(each[which] - each[2]) > 0.005]
    return f"{100 * max(off, key=abs):+.1f} %"


def _table(
    corner: str, columns: Sequence[float], rows: Mapping[float, Sequence[float]], make: Callable[[float], Filling]
) -> str:
    lines = [f"| {corner} | " + " | ".join(f"{each:g} degC" for each in columns) + " |"]
    lines.append("|---:|" + "---:|" * len(columns))
    for key, row in rows.items():
        filling = make(key)
        cells = [_cell(gauge(filling, at), published) for at, published in zip(columns, row, strict=True)]
        lines.append(f"| {key:g} | " + " | ".join(cells) + " |")
    return "\n".join(lines)


def _cell(here: float, published: float) -> str:
    """Here and its difference to the table; none where it is within the table's rounding."""
    percent = 0.0 if abs(here - published) <= 0.005 else 100.0 * (here / published - 1.0)
    return f"{here:.2f} / " + (f"{percent:+.1f}" if abs(percent) >= 0.05 else "0")


def _headspace_volumes() -> str:
    """What the headspace holds of the carbon dioxide, in volumes."""
    share = balance(_carbonated(3.8), 4.0).shares[0]
    return f"{3.8 * share.in_headspace / share.charge.amount:.2f} volumes"


def _drink_rows() -> Iterator[str]:
    for name, drink in (*DRINKS.items(), ("not named", UNKNOWN)):
        warm = gauge(carbonated(CAN, 3.8, drink, 0.0), WARM)
        yield f"| {name} | {drink.factor:g} | {drink.source} | {warm:.2f} bar |"


def _air_rows() -> Iterator[str]:
    for part in (0.0, 0.1, 0.25, 1.0):
        lines = (gauge(carbonated(CAN, 3.8, WATER, part), at) for at in (4.0, 20.0, 38.0, WARM))
        yield f"| {100 * part:.0f} % | " + " | ".join(f"{each:.2f}" for each in lines) + " |"


def _nitrogen_of_a_drink() -> str:
    other = {fill: nitrogen_dosed(ROOM, 0.1 * fill, Drink(0.89, "")) for fill in NITROGEN}
    moved = [gauge(other[fill], at) / gauge(_nitrogen(fill), at) - 1.0 for fill in NITROGEN for at in NITROGEN_AT]
    return f"{100 * min(moved):+.1f} to {100 * max(moved):+.1f} %"


def _weiss_rows() -> Iterator[str]:
    filling = _carbonated(3.8)
    other = with_weiss(filling)
    assert other is not None
    for at in CARBONATED_AT:
        one, two = gauge(filling, at), gauge(other, at)
        yield f"| {at:g} | {one:.2f} | {two:.2f} | {100 * (two / one - 1):+.1f} % |"


def _left_out() -> dict[str, str]:
    """What is left out, each put in by hand."""
    filling = _carbonated(3.8)
    plain = gauge(filling, WARM)
    gained = 3.0 * ALUMINIUM * (WARM - 4.0) * CAN.closed_volume
    expanded = replace(filling, body=replace(CAN, swelling=lambda _: gained))
    squeezed = replace(filling, body=replace(CAN, swelling=Evenly(SQUEEZE * CAN.liquid)))
    full = carbonated(CAN, 3.8, WATER, 1.0)
    air = replace(full.charges[1], amount=2.0 / 3.0 * full.charges[1].amount)
    dissolved = replace(full, charges=(full.charges[0], air))
    return {
        "metal": f"{gauge(expanded, WARM) - plain:+.2f} bar",
        "squeezed": f"{gauge(squeezed, WARM) - plain:+.2f} bar",
        "dissolved": f"{gauge(dissolved, WARM) - gauge(full, WARM):+.2f} bar",
        "vacuum": f"{gauge(closed_in_air(Body(355e3, 20e3, 85.0), WATER), 20.0):.2f}",
    }


def _softening_rows() -> Iterator[str]:
    tables = softenings()
    columns = next(iter(tables.values())).temperatures
    yield "| metal | " + " | ".join(f"{each:g} degC" for each in columns) + " |"
    yield "|---|" + "---:|" * len(columns)
    for name, table in tables.items():
        for what, left in (("modulus", table.modulus), ("stresses", table.stress)):
            yield f"| {name}, {what} | " + " | ".join(f"{each:g}" for each in left) + " |"


def _demonstration() -> dict[str, str]:
    demand = read_case(CASES / "demo" / "base.toml").demand
    assert demand is not None
    lines = ["| condition | gauge |", "|---|---:|"]
    lines += [f"| {where(met.condition)} | {10 * met.state.gauge:.2f} bar |" for met in demand.met]
    cold = demand.emptiest.state.gauge
    two = next(at for at in range(100) if gauge(demand.filling, float(at)) >= 2.0)
    return {"demo": "\n".join(lines), "cold": f"{10 * cold:.2f}", "two": f"{two}"}
