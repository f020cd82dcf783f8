"""The figure of docs/rolling-of-the-stand.md: both mechanisms as chains, and formula against finite element."""

import matplotlib as mpl
import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from buckle.formulas.stand.mechanism import Chain, Voce, chain, easiest, moved
from buckle.formulas.stand.sections import InnerSide, OuterSide, PanelSide, base_chain, end_chain
from scripts.study.rolling.table import DOCS, Row, read_table

GAUGE, END_GAUGE = 0.27, 0.2235  # mm
LAW = Voce(0.14, 40.0)
BASE = base_chain(
    24.13 / GAUGE,
    InnerSide(1.66 / GAUGE, 0.105, 0.0, 0.0, 0.0, 1.99 / GAUGE, 2.3 / GAUGE, 45.7 / GAUGE, 0.4785),
    OuterSide(1.66 / GAUGE, 0.489, 1.2 / GAUGE, 3.0 / GAUGE, -0.524),
)
END = end_chain(
    23.79 / END_GAUGE,
    PanelSide(0.62 / END_GAUGE, 0.0, 1.166 / END_GAUGE, 0.5 / END_GAUGE),
    OuterSide(0.62 / END_GAUGE, 0.209, 3.8 / END_GAUGE),
)
SHADES = ("0.75", "0.45", "black")


def draw() -> None:
    mpl.rcParams["svg.hashsalt"] = "rolling"
    figure = Figure(figsize=(11.0, 8.5), layout="constrained")
    axes = figure.subplots(2, 2)
    _rolling(axes[0, 0], chain(BASE, 1.0, LAW), (0.0, 1.5, 3.0), GAUGE)
    axes[0, 0].set(title="Base: the stand rolls", xlim=(16.0, 31.0), ylim=(-3.5, 7.0))
    _rolling(axes[0, 1], chain(END, -1.0, LAW), (0.0, 2.0, 4.0), END_GAUGE)
    axes[0, 1].set(title="End: the countersink unrolls", xlim=(17.0, 26.0), ylim=(-0.7, 5.7))
    _cloud(axes[1, 0], read_table("bases"), "reformed", ("straight leg", "reformed leg"))
    _cloud(axes[1, 1], read_table("ends"), "slopes", ("chuck wall of one slope", "of two slopes"))
    figure.savefig(DOCS / "rolling-of-the-stand.svg", metadata={"Date": None})


def _rolling(axes: Axes, body: Chain, travels: tuple[float, ...], gauge: float) -> None:
    """The chain after some travels of its innermost node [mm]."""
    travel, motion = 0.0, easiest(body)
    for wanted, shade in zip(travels, SHADES, strict=True):
        while travel < wanted:
            step = 0.1 / gauge / abs(motion.speed)
            body, travel = moved(body, motion, step), travel + 0.1
            motion = easiest(body, motion.velocity)
        r, z = gauge * body.nodes.T
        axes.plot(r, z, ".-", color=shade, markersize=3.5, linewidth=1.0, label=f"travel {wanted:g} mm")
    axes.set(xlabel="r mm", ylabel="z mm", aspect="equal")
    axes.legend(frameon=False)


def _cloud(axes: Axes, rows: list[Row], switch: str, names: tuple[str, str]) -> None:
    for chosen, name, mark in zip((False, True), names, "o^", strict=True):
        picked = [row for row in rows if (row[switch] >= 0.5) == chosen]
        computed = 10.0 * np.array([row["computed_MPa"] for row in picked])
        formula = 10.0 * np.array([row["formula_MPa"] for row in picked])
        axes.plot(computed, formula, mark, markersize=3.0, fillstyle="none", label=name)
    span = np.array(axes.get_xlim())
    for slope, style in ((0.9, ":"), (1.0, "-"), (1.1, ":")):
        axes.plot(span, slope * span, style, color="0.5", linewidth=0.8)
    axes.set(xlabel="finite element, bar", ylabel="formula, bar")
    axes.legend(frameon=False)
