"""Unknowns of a solid: node by node, one u_z for a ring, and where the axisymmetric ones stand in a wave."""

import numpy as np

from buckle.solid.numbering import AXISYMMETRIC, WAVE, in_wave, number, torsion

NODES = np.arange(6)
RING = np.array([3, 4, 5])


def test_fields_are_numbered_node_by_node() -> None:
    found = number(len(NODES), WAVE, [])
    assert found.size == 18
    assert list(found.of("z", NODES)) == [1, 4, 7, 10, 13, 16]
    assert found.unused.size == 0


def test_a_ring_has_the_u_z_of_its_middle_node() -> None:
    found = number(len(NODES), AXISYMMETRIC, [RING])
    assert set(found.of("z", RING)) == {int(number(len(NODES), AXISYMMETRIC, []).of("z", RING[1:2])[0])}
    assert list(found.of("r", RING)) == [6, 8, 10]
    assert list(found.unused) == [7, 11]
    assert found.size == 12


def test_an_axisymmetric_unknown_is_the_same_field_of_the_same_node_in_a_wave() -> None:
    plain, wave = number(len(NODES), AXISYMMETRIC, []), number(len(NODES), WAVE, [])
    for field in AXISYMMETRIC:
        assert np.array_equal(in_wave(plain.of(field, NODES)), wave.of(field, NODES))
    assert np.array_equal(torsion(len(NODES)), wave.of("t", NODES))


def test_elements_have_the_unknowns_of_their_nodes() -> None:
    nodes = np.array([[0, 2], [2, 5]])
    assert number(len(NODES), AXISYMMETRIC, []).of_elements(nodes).tolist() == [[0, 1, 4, 5], [4, 5, 10, 11]]
