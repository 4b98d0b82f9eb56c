"""What commands and studies are tested on: a bar with one feeder, poured in a blink; its study."""

CASE = """\
title = "Bar with a feeder"

[section]
cell = "5 mm"

[pour]
alloy = "gray-iron"
temperature = "1370 °C"

[mold]
sand = "dry-silica-sand"
box = { from = ["-30 mm", "-30 mm"], to = ["130 mm", "110 mm"] }

[[part]]
name = "bar"
role = "casting"
rectangle = { from = ["0 mm", "0 mm"], to = ["100 mm", "20 mm"] }

[[part]]
name = "feeder"
role = "feeder"
rectangle = { from = ["30 mm", "20 mm"], to = ["70 mm", "80 mm"] }

[[part]]
name = "cover"
role = "insulation"
rectangle = { from = ["30 mm", "80 mm"], to = ["70 mm", "90 mm"] }

[[probe]]
name = "middle"
at = ["50 mm", "10 mm"]
"""

# A study of the width of its feeder, whose values are still to be given.
WIDTH_STUDY = """\
title = "Feeder of a bar"
case = "bar.toml"
set = { "output.frames" = 2 }
[[input]]
name = "width"
path = 'part["feeder"].width'
"""
