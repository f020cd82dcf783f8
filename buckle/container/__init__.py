"""The container as one: read from its file; parts cut where they end; metal and cost, volumes, how they stack."""
