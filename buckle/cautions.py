"""What every printed or stored result says about itself."""

CAUTIONS = (
    "Screening result: not a pressure-vessel code check and not a certificate.",
    "Axisymmetric shell; the material curve is assumed, not measured on the part; pressures are gauge.",
    "Confirm by test on the actual parts.",
    "Gas-filled test pieces store energy and can throw fragments: test with water, shielded.",
    "Follow local codes, the filler's specification and licensed practice.",
    "Aerosol and transport regulations apply on their own terms.",
)
"""One sentence each, in the order in which they are printed."""
