"""What goes to the floor, and what comes back? The pour sheet, and prediction against record.

Here the words and numbers are put together; ``pictures`` lays them out on paper.

Public names: ``compose_sheet``, ``compare_record``, ``plan_pour``.
"""

from solidsim.report.against_record import compare_record
from solidsim.report.pour_sheet import compose_sheet
from solidsim.report.pouring_plan import plan_pour

__all__ = ["compare_record", "compose_sheet", "plan_pour"]
