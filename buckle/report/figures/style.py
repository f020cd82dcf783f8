"""One look for all figures: black and grey on white, legible in print."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

STYLE: Mapping[Any, Any] = MappingProxyType(
    {
        "font.family": "DejaVu Sans",
        "font.size": 8.0,
        "axes.titlesize": 9.0,
        "axes.labelsize": 8.0,
        "axes.edgecolor": "0.6",
        "axes.linewidth": 0.6,
        "xtick.color": "0.3",
        "ytick.color": "0.3",
        "xtick.labelsize": 7.0,
        "ytick.labelsize": 7.0,
        "xtick.direction": "in",
        "ytick.direction": "in",
        "svg.hashsalt": "buckle",
    }
)
"""Settings to draw under: `with matplotlib.rc_context(dict(STYLE))`."""

PAGE = 7.15
"""Width of a page between its margins [in], A4 less 14 mm on either side: figures no wider print in their own size."""

METAL = "0.72"
OUTLINE = "0.0"
GUIDE = "0.45"  # dimension lines, leaders, the axis
"""Greys of the section and of what explains it."""
