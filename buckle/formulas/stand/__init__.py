"""The stand of a base and the countersink of an end as chains that roll."""
