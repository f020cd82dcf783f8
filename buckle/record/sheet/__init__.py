"""A record of a run as what stands on its margin sheet: frozen data, in the units of the record."""
