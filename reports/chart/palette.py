"""The chart's colours: marks from one open palette that colour-blind people can tell apart, tints of our own.

Marks: the scheme "muted" of P. Tol, "Colour Schemes", technical note SRON/EPS/TN/09-002 (issue 3.2, 2021),
checked against the author's module tol-colors 2.2 (BSD licence). Only its darkest are taken: each is at least
3 : 1 against white and against every tint here (WCAG 2.2, success criterion 1.4.11), also printed in grey.
Colour never stands alone: lines, bands, hatches and signs differ in shape and carry words.
"""

WATER, LIGHT, SALT, HATCH = "#332288", "#882255", "#AA4499", "#117733"  # indigo, wine, purple, green

INK = "#1f1f1f"
QUIET = "#555555"
# Tints of our own: where the water is wanted, and where nothing was read.
COMFORT = "#e1efea"
UNREAD = "#f2f2f2"
HATCHING = "#9a9a9a"
HOURS, MIDNIGHT, RULE = "#dddddd", "#777777", "#999999"
# So much of a mark's colour is left in the band of what is believed.
BAND_ALPHA = 0.28
