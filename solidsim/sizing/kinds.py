"""Kinds of the arguments and answers of rules, as types: a number that says what it measures.

The label is a key of ``solidsim.quantities.KINDS``; to a type checker these are plain floats.
"""

from typing import Annotated

Length = Annotated[float, "length"]
Area = Annotated[float, "area"]
Volume = Annotated[float, "volume"]
Mass = Annotated[float, "mass"]
Time = Annotated[float, "time"]
Velocity = Annotated[float, "velocity"]
FlowRate = Annotated[float, "flow-rate"]
Density = Annotated[float, "density"]
Force = Annotated[float, "force"]
Pressure = Annotated[float, "pressure"]
Temperature = Annotated[float, "temperature"]
TemperatureDifference = Annotated[float, "temperature-difference"]
CoolingRate = Annotated[float, "cooling-rate"]
Conductivity = Annotated[float, "conductivity"]
SpecificHeat = Annotated[float, "specific-heat"]
SpecificEnergy = Annotated[float, "specific-energy"]
MoldConstant = Annotated[float, "mold-constant"]
Contraction = Annotated[float, "contraction"]
Fraction = Annotated[float, "fraction"]
Number = Annotated[float, "number"]

INCH = 0.0254  # m, exact; for tables and formulas printed in inches
