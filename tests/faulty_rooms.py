"""Two small rooms, worked out by hand, in which the tests of the checker plant faults."""

from __future__ import annotations

THREE_WALLS = """
units = "mm"

[paper]
roll_length = 10_000
roll_width = 500
match = "600/200 mm"
offset_direction = "down"
motif_from_left = 150

[[wall]]
name = "left"
width = 1300
height = 2400

[[wall]]
name = "middle"
width = 2200
top = [[0, 2400], [1400, 2400], [2200, 2000]]

[[wall.opening]]
kind = "window"
left = 900
width = 500
foot = 900
height = 1200
reveal = 100

[[wall]]
name = "right"
width = 1000
height = 2000
foot = [[0, 0], [1000, 500]]

[start]
wall = "middle"
at = 400
puts = "joint"
motif_drop = 100
"""
"""Three walls in a third-drop of 600/200, with a window, a slope and a stair; a strip is 500 wide.

::

    column    -4     -3      -2     -1 |    -1     0       1       2      3 | 3    4      5
    wall      0-220 -720  -1220 -1300  |  0-400  -900   -1400   -1900 -2200 | 0-180 -680 -1000
                      left                             middle                   right

Rightwards column 3 shows 300 before the corner, turns 20, and its other 180 hang in the corner; leftwards column
-1 shows 400, turns 20, and its other 80 hang in the corner. First motifs below the level line at 2400 are
100 + 200 k, so 500, 100, 300, 500 | 100 | 300, 500, 100, 300, 500 from column -4 to 5. The pieces:

====== ====== ===== ===== ======== =========== ======================================
piece  column top   foot  height   first motif because
====== ====== ===== ===== ======== =========== ======================================
1      0      2400  0     2400     100
2      1      2400  2100  300+100  300         over the window, 100 turned under
3      1      900   0     900      0           300 - 1500, under the window
4      2      2400  0     2400     500         the slope begins at its left edge
5      3      2150  0     2150     450         2150 is half way down it; 100 - 250
6      4      2000  90    1910     500         the stair has climbed 90; 300 - 400
7      5      2000  340   1660     100         500 - 400
8      -1     2400  0     2400     500
9      -2     2400  0     2400     300
10     -3     2400  0     2400     100
11     -4     2400  0     2400     500
====== ====== ===== ===== ======== =========== ======================================
"""

FOUR_WALLS = """
units = "mm"

[paper]
roll_length = 10_000
roll_width = 500
match = "600/200 mm"
offset_direction = "down"

[room]
closes = true

[[wall]]
name = "first"
width = 1000
height = 2400

[[wall]]
name = "second"
width = 1000
height = 2400

[[wall]]
name = "third"
width = 1000
height = 2400

[[wall]]
name = "fourth"
width = 1000
height = 2400

[start]
wall = "first"
at = 250
puts = "joint"
motif_drop = 100

[finish]
wall = "third"
at = "right corner"
"""
"""Four walls of 1000 that close in the corner opposite the start, where column 5 meets column -3.

To the right: 0 covers 250 to 750 of the first wall; 1 turns at 250 into the second, to 230; 2 to 730; 3 turns at 270
into the third, to 210; 4 to 710; 5 is trimmed in the corner at 290 of its width. To the left: -1 turns at 250 into the
fourth, back to 770; -2 to 270; -3 is trimmed in the same corner, from 230 of its width. So the print meets 290 with
230: 60 comes twice. Column 5 hangs at (100 + 1000) mod 600 = 500 and column -3 at (100 - 600) mod 600 = 100: 400
higher, or 200 lower.
"""
