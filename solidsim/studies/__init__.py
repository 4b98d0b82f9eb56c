"""How does a case come out, and does the answer stand on finer cells? Whole runs, end to end.

Takes a case or a model, pours it into its results file with its findings, and repeats it
where the answer must be confirmed.
"""
