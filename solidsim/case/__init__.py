"""What did the founder write, is it whole, and where in the file does a fault stand."""

from solidsim.case.description import CaseDescription
from solidsim.case.reading import Case, read_case, read_case_text
from solidsim.case.record import Record, read_record, record_form, record_path
from solidsim.case.resolving import resolved

__all__ = [
    "Case",
    "CaseDescription",
    "Record",
    "read_case",
    "read_case_text",
    "read_record",
    "record_form",
    "record_path",
    "resolved",
]
