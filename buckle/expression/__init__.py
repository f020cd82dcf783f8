"""The one language of arithmetic and comparisons: filters, derived keys of studies and written formulas; never run."""

from buckle.expression.expression import Expression, read_expression

__all__ = ["Expression", "read_expression"]
