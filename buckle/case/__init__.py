"""The case file: read, validated, given defaults and echoed; the contract of the product."""

from buckle.case.assemble import Case
from buckle.case.echo import EchoLine
from buckle.case.reader import case_from_dict, read_case, read_text, refusal
from buckle.case.replace import replace_keys

__all__ = ["Case", "EchoLine", "case_from_dict", "read_case", "read_text", "refusal", "replace_keys"]
