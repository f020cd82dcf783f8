"""Study files: which keys of a base case vary, and the designs that follow; data alone, nothing is worked out here."""
