"""Which rigging is best? Whole runs, end to end: one, two side by side, or hundreds.

``pouring`` computes one model into its file, ``confirming`` repeats it on finer cells. A study
file (``study_file``) names values of a case by their paths; ``sweeping`` runs them all,
``searching`` looks for the smallest that does, ``comparing`` sets layouts side by side.
``running.run_many`` stands below all of these: each variant once, by whoever is there to compute.
"""
