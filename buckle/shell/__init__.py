"""The shell of revolution: kinematics, section, operators."""
