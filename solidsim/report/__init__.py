"""What goes to the floor, and what comes back? The pour sheet, and prediction against record.

Here the words and numbers are put together; ``pictures`` lays them out on paper. Import from the
modules: only ``pour_sheet`` (``compose_sheet``) needs the pictures; ``pouring_plan``
(``plan_pour``), ``against_record`` (``compare_record``), ``cooling``, ``assumptions`` and
``same_case`` do not.
"""
