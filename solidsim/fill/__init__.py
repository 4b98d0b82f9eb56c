"""How does the metal come in: how fast, where to, when, and how warm?

In: a ``Model`` with its gating system or pouring time. Out: flow and velocity at every ingate, the
moment each cell gets its metal, the heat that metal brings, the air it shuts in and the places
where two streams meet.
"""
