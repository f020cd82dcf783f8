"""What a run leaves: quantities, margins, tables and surfaces as data, and what binds them together."""
