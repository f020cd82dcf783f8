"""The drawing of a section: true to scale, says the right numbers, and nothing is written over anything else."""

from functools import cache
from io import StringIO
from itertools import combinations
from math import radians

import numpy as np
import pytest
from matplotlib.text import Annotation, Text

from buckle.report.figures.callouts import callouts, caption, dimensions, number, tight_pieces
from buckle.report.figures.panel import spread
from buckle.report.figures.section import draw_section
from buckle.shapes import (
    WalkPiece,
    circular_plate,
    complete_sphere,
    cylinder,
    domed_base,
    ellipsoidal_head,
    meridian,
    recessed_end,
    spherical_cap,
    torispherical_head,
)
from tests.helpers.page import printed_letters

BASE = domed_base(
    stand_diameter=47.0,
    nose_inner_radius=1.2,
    nose_outer_radius=1.5,
    inner_leg_angle=radians(-20),
    undercut_length=0.3,
    reform_radius=1.1,
    upper_leg_angle=radians(10),
    dome_corner_radius=1.8,
    dome_radius=43.0,
    dome_depth=10.6,
    outer_leg_angle=radians(27),
    outer_leg_length=1.5,
    chime_radius=3.0,
    chime_angle=radians(60),
    heel_radius=5.0,
    wall_radius=33.0,
    wall_height=25.0,
    gauge=0.235,
    wall_gauge=0.097,
)
END = recessed_end(
    panel_diameter=44.4,
    panel_radius=0.45,
    panel_depth=1.65,
    countersink_radius=0.484,
    chuck_wall_angle=0.0,
    chuck_wall_length=0.75,
    chuck_bend_radius=1.0,
    upper_chuck_wall_angle=radians(27),
    upper_chuck_wall_length=2.2,
    gauge=0.2085,
    coin_inner_diameter=36.0,
    coin_outer_diameter=41.0,
    coin_thickness=0.15,
)
BODIES = {
    "base": BASE,
    "end": END,
    "sphere": complete_sphere(radius=25.0, thickness=0.3),
    "cap": spherical_cap(radius=100.0, half_angle=0.3, thickness=0.5),
    "torisphere": torispherical_head(
        crown_radius=60.0, knuckle_radius=3.0, diameter=60.0, cylinder_length=10.0, thickness=0.5
    ),
    "ellipsoid": ellipsoidal_head(diameter=60.0, aspect_ratio=2.0, cylinder_length=10.0, thickness=0.5),
    "plate": circular_plate(radius=50.0, hole_radius=8.0, thickness=0.5),
    "cylinder": cylinder(radius=33.0, length=100.0, thickness=0.1),
    "kinked": meridian(
        start=(0.0, 10.0),
        heading=0.0,
        inside="left",
        thickness=0.27,
        pieces=(WalkPiece(arc=45.7, turn=-0.48), WalkPiece(line=20.0, turn_here=1.2, thickness=(0.27, 0.1))),
    ),
}


@cache
def section(name):
    """The section of a body without title and mass, to be read only."""
    return draw_section(BODIES[name])


@cache
def titled(name):
    """The same as it is saved, with title and mass."""
    return draw_section(BODIES[name], title=f"Section of a {name}", density=2720.0)


def written(figure):
    """Texts and their boxes [pixels], without the leaders."""
    renderer = figure.canvas.get_renderer()
    texts = [text for text in figure.findobj(Text) if text.get_text() and text.get_visible()]
    return [(text.get_text(), Text.get_window_extent(text, renderer)) for text in texts]


@pytest.mark.parametrize("name", BODIES)
def test_no_text_is_written_over_another_or_off_the_sheet(name):
    figure = titled(name)
    figure.canvas.draw()
    sheet = figure.bbox
    boxes = written(figure)
    assert len(boxes) > 6
    for text, box in boxes:
        assert sheet.x0 <= box.x0, text
        assert box.x1 <= sheet.x1, text
        assert sheet.y0 <= box.y0, text
        assert box.y1 <= sheet.y1, text
    clashes = [(a, b) for (a, one), (b, other) in combinations(boxes, 2) if one.overlaps(other)]
    assert clashes == []


@pytest.mark.parametrize("name", BODIES)
def test_letters_can_be_read_in_print(name):
    picture = StringIO()
    titled(name).savefig(picture, format="svg")
    assert printed_letters(picture.getvalue()) >= 6.95  # 7 pt in two digits


@pytest.mark.parametrize("name", BODIES)
def test_labels_do_not_cover_the_metal(name):
    figure = section(name)
    figure.canvas.draw()
    renderer = figure.canvas.get_renderer()
    for axes in figure.axes:
        metal = axes.transData.transform(axes.patches[0].get_xy())
        window = axes.patches[0].get_clip_box()  # a detail shows nothing outside its frame
        metal = metal[np.all((metal > window.min) & (metal < window.max), axis=1)]
        assert len(metal) > 20
        for text in axes.texts:
            if text.get_text() and isinstance(text, Annotation):
                box = Text.get_window_extent(text, renderer)
                covered = np.all((metal > box.min) & (metal < box.max), axis=1).any()
                assert not covered, text.get_text()


@pytest.mark.parametrize("name", BODIES)
def test_every_panel_is_to_scale(name):
    """A millimetre is as long across as up."""
    for axes in section(name).axes:
        (x0, y0), (x1, y1) = axes.transData.transform([(0.0, 0.0), (1.0, 1.0)])
        assert x1 - x0 == pytest.approx(y1 - y0, rel=1e-9)
        assert axes.get_xlabel() == "r  [mm]"


@pytest.mark.parametrize("name", ["base", "end", "torisphere"])
def test_a_detail_shows_what_its_frame_holds_on_the_whole_section(name):
    """Both draw the same dashed rectangle, and the detail's metal and middle line end at it."""
    whole, detail = section(name).axes
    corners = [line.get_xydata() for axes in (whole, detail) for line in axes.lines if len(line.get_xydata()) == 5]
    assert len(corners) == 2
    np.testing.assert_array_equal(*corners)
    frame = detail.transData.transform(corners[0])
    for shown in (detail.patches[0], detail.lines[0]):
        window = shown.get_clip_box()
        np.testing.assert_allclose([window.min, window.max], [frame.min(axis=0), frame.max(axis=0)], rtol=1e-12)
    meridian = BODIES[name]
    for i in tight_pieces(meridian):
        ends = meridian.at_s(meridian.breaks[i : i + 2])
        for point in zip(ends.r, ends.z, strict=True):
            assert np.all((corners[0].min(axis=0) < point) & (point < corners[0].max(axis=0)))


def test_outline_has_the_true_thickness():
    """The area inside the outline of a plate is its length times its thickness."""
    x, y = draw_section(BODIES["plate"]).axes[0].patches[0].get_xy().T
    area = 0.5 * abs(np.sum(x[:-1] * y[1:] - x[1:] * y[:-1]))
    assert area == pytest.approx(42.0 * 0.5, rel=1e-12)


def test_callouts_say_radii_angles_and_thicknesses():
    texts = [one.text for one in callouts(BASE)]
    for words in (
        "dome  R 43.00  t 0.235",
        "upper leg  1.18 at 10.0°",
        "reform groove  R 1.10",
        "undercut leg  0.300 at 20.0°",
        "nose inner  R 1.20",
        "nose outer  R 1.50",
        "heel  R 5.00",
        "wall blend  4.00  t 0.235 to 0.097",
        "wall  21.00  t 0.097",
    ):
        assert words in texts


def test_callouts_join_like_pieces_and_do_not_repeat():
    thinned = spherical_cap(radius=100.0, half_angle=0.3, thickness=0.5, thickness_at=((5.0, 0.5), (9.0, 0.5)))
    assert [one.text for one in callouts(thinned)] == ["cap  R 100.00  t 0.500"]
    middle = callouts(thinned)[0]
    assert middle.r == pytest.approx(100 * np.sin(0.15))


def test_a_line_has_its_own_angle_only_if_it_slopes():
    texts = [one.text for one in callouts(END)]
    assert "panel wall  0.716" in texts
    assert "upper chuck wall  2.20 at 27.0°" in texts
    assert "coined ring  2.50  t 0.150" in texts
    assert "centre panel  18.00  t 0.2085" in texts


def test_dimensions_are_sorted_and_worked_out():
    assert [one.text for one in dimensions(BASE, "diameter")] == ["stand diameter 47.00", "wall diameter 66.00"]
    assert [one.text for one in dimensions(BASE, "height")] == ["heel height 9.92", "dome depth 10.60"]


def test_detail_shows_the_tight_bends():
    names = [BASE.pieces[i].name for i in tight_pieces(BASE)]
    assert names[0] == "dome corner"
    assert names[-1] == "chime"
    assert len(tight_pieces(BODIES["sphere"])) == 0
    assert len(draw_section(BODIES["sphere"]).axes) == 1
    assert len(draw_section(BASE).axes) == 2


def test_caption_leaves_out_what_is_not_known():
    assert "mass" not in caption(BASE, 0.0)
    assert f"mass {BASE.mass(2720.0):.4g} g" in caption(BASE, 2720.0)
    assert "volume" not in caption(BODIES["plate"], 0.0)


@pytest.mark.parametrize(("value", "text"), [(0.484, "0.484"), (0.9999, "1.00"), (1.66, "1.66"), (45.7, "45.70")])
def test_numbers_read_as_on_a_drawing(value, text):
    assert number(value) == text


def test_spread_keeps_order_gap_and_limits():
    positions = spread(np.array([5.0, 1.0, 1.1, 9.9]), 1.0, 0.0, 10.0)
    assert list(np.argsort(positions)) == [1, 2, 0, 3]
    assert np.diff(np.sort(positions)).min() >= 1.0 - 1e-12
    assert positions.min() >= 0.0
    assert positions.max() <= 10.0
