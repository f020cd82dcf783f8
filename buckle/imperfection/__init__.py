"""Deviations of a meridian from its perfect shape, free of stress, and the body that has one."""
