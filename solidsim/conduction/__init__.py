"""Where does the heat go, and when does each bit of metal freeze?

In: a ``Model``. Out: enthalpy and temperature of every cell in time, the moments at which metal
passes the temperatures that matter, and an account of the heat that closes to round-off.

Volumetric enthalpy is the one unknown of a cell; finite volumes keep it exactly; each material is
one piecewise-linear table. Time goes by super-time-stepping, RKL2 of Meyer, Balsara & Aslam (2014),
J. Comput. Phys. 257:594-626.
"""
