"""Closed forms of freezing and cooling, written from their equations alone.

Nothing here imports solidsim. Each solution is a frozen dataclass whose fields state the problem;
lengths are in m, times in s, temperatures in any one scale (only differences enter).
"""
