"""Waves that have grown: a shell of revolution whose shape repeats around the axis, followed along its path."""
