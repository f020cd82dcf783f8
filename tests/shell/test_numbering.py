"""Rows of fields and metrics are those that the kinematics say, and unknowns are numbered as the walk meets them."""

import numpy as np
import pytest

from buckle.bands.layout import BandLayout
from buckle.material import Material
from buckle.meridian import Meridian, Piece
from buckle.mesh import Grading
from buckle.shell import kinematics
from buckle.shell.model import Fineness, Load, Model, build_model
from buckle.shell.numbering import IN_WAVE, OF_FIELDS, OF_WAVES, FieldRow, MetricRow, WaveRow
from buckle.shell.strain import LOGARITHMIC

COARSE = Fineness(Grading(per_decay=2.0, per_turn=2.0, growth=2.0))


@pytest.fixture(scope="module")
def model() -> Model:
    """An arc of a sphere and a kinked straight wall."""
    pieces = (Piece(20.0, 1.0 / 40.0, (0.5, 0.5)), Piece(5.0, 0.0, (0.5, 0.5), turn_here=0.4))
    return build_model(
        Meridian((0.0, 0.0), 0.0, "left", pieces),
        Material(69e3, 0.33),
        (None, "clamped"),
        Load(),
        COARSE,
        LOGARITHMIC,
    )


def test_a_wave_holds_the_axisymmetric_fields() -> None:
    assert [OF_WAVES[row] for row in IN_WAVE] == list(OF_FIELDS)


@pytest.mark.parametrize("row", FieldRow, ids=lambda row: row.name)
def test_the_first_variation_is_by_the_field_of_its_row(model: Model, row: FieldRow) -> None:
    """Central difference of the metrics by one field: they are smooth, so its error is of the step squared, 1e-8."""
    station, step = model.shell.elements.station, 1e-4
    q = 0.01 * np.random.default_rng(4).standard_normal((len(station.r), len(FieldRow)))
    aside = np.zeros_like(q)
    aside[:, row] = step

    def metrics(fields: np.ndarray) -> np.ndarray:
        along, around, shear = kinematics.deformed(station, fields).metric
        return np.concatenate([along, around, shear[:, None]], axis=1)

    slope = (metrics(q + aside) - metrics(q - aside)) / (2.0 * step)
    found = kinematics.first_variation(kinematics.deformed(station, q))[:, :, row]
    assert slope.shape[1] == len(MetricRow)
    assert found == pytest.approx(slope, rel=1e-6, abs=1e-6)


def test_tables_read_the_unknowns_by_their_numbers(model: Model) -> None:
    """A field of one at all vertices is one at the points, with no slope, and no other field is there."""
    elements = model.shell.elements
    for name, row in (("u", FieldRow.U), ("a", FieldRow.BETA)):
        x = np.zeros(elements.axisymmetric.size)
        x[elements.axisymmetric.values(name)] = 1.0
        q = np.matmul(elements.axisymmetric_table, x[elements.axisymmetric.dofs][:, :, None]).reshape(-1, len(FieldRow))
        assert q[:, row] == pytest.approx(1.0)
        assert np.delete(q, row, axis=1) == pytest.approx(0.0, abs=1e-12)
    y = np.zeros(elements.wave.size)
    y[elements.wave.values("v")[1:]] = 1.0  # at the apex it stands for v + u
    fields = np.matmul(elements.wave_table, y[elements.wave.dofs][:, :, None]).reshape(-1, len(WaveRow))
    beyond = fields[elements.s > elements.mesh.vertices[1]]
    assert beyond[:, WaveRow.V] == pytest.approx(1.0)
    assert np.delete(beyond, WaveRow.V, axis=1) == pytest.approx(0.0, abs=1e-12)


def test_the_numbers_of_a_walk_rise(model: Model) -> None:
    """Each field's numbers rise along the walk, all are used once, and the band is that of two elements at most."""
    for numbering in (model.shell.elements.axisymmetric, model.shell.elements.wave):
        used = [numbering.of(field.name) for field in numbering.fields]
        assert sorted(np.concatenate(used)) == list(range(numbering.size))
        assert all(np.all(np.diff(numbering.values(field.name)) > 0) for field in numbering.fields)
        layout = BandLayout(numbering.dofs, numbering.size, general=False)
        assert layout.half_bandwidth < 2 * numbering.dofs.shape[1]


def test_at_a_kink_the_tilt_alone_has_two_numbers(model: Model) -> None:
    elements = model.shell.elements
    vertex = int(np.flatnonzero(elements.mesh.kinked)[0])
    split = {name for name in "uwavt" if elements.wave.values(name)[vertex] != elements.wave.ends(name)[vertex - 1]}
    assert split == {"t"}
