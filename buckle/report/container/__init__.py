"""A container as people read it: the margins of all parts in one table, one sheet with a chapter a part."""
