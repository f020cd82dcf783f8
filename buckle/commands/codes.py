"""Exit codes of all commands."""

MET, NOT_MET, WRONG_INPUT, UNFINISHED, CRASHED = 0, 1, 2, 3, 4
