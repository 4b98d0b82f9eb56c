"""What do the computed numbers mean for the casting?

Each module takes plain arrays, a grid and floats, so that it works on a live run, a stored one or
a test array, and answers one question of the founder. ``solidsim.judgment`` puts the answers into
``Finding`` objects with value, limit, margin, place, source and grade.
"""
