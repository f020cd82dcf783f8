"""Gauge pressures [bar] of collected trade data, section 4, computed by other code from the same sources.

355 ml of water and 20 ml of headspace in a rigid can at sea level, no air; closed at 4 degC (carbonated) or 20 degC
(nitrogen). The liquid takes gas there without regard to the pressure that it stands under.
"""

CARBONATED_AT = (4.0, 15.0, 20.0, 25.0, 30.0, 38.0, 50.0, 60.0, 65.0)
CARBONATED = {
    2.0: (0.37, 0.95, 1.25, 1.57, 1.90, 2.47, 3.40, 4.22, 4.65),
    2.5: (0.72, 1.44, 1.82, 2.21, 2.63, 3.34, 4.49, 5.51, 6.03),
    2.8: (0.93, 1.74, 2.16, 2.60, 3.07, 3.86, 5.14, 6.28, 6.87),
    3.0: (1.07, 1.94, 2.39, 2.86, 3.36, 4.21, 5.58, 6.80, 7.43),
    3.5: (1.42, 2.44, 2.96, 3.51, 4.10, 5.09, 6.69, 8.10, 8.83),
    3.8: (1.63, 2.74, 3.30, 3.91, 4.54, 5.62, 7.36, 8.89, 9.67),
    4.0: (1.78, 2.94, 3.54, 4.17, 4.84, 5.98, 7.80, 9.41, 10.24),
    4.5: (2.13, 3.44, 4.11, 4.83, 5.59, 6.87, 8.92, 10.73, 11.66),
}
NITROGEN_AT = (4.0, 38.0, 50.0, 60.0, 65.0)
NITROGEN = {
    0.70: (0.47, 1.06, 1.40, 1.77, 2.00),
    1.00: (0.73, 1.42, 1.80, 2.23, 2.49),
    1.50: (1.16, 2.01, 2.48, 3.00, 3.31),
    2.00: (1.60, 2.60, 3.16, 3.76, 4.13),
}
ROUNDED = 0.005
"""bar that a number of two decimals may be off by."""
