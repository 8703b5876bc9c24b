(title: Rockpool folder)
(sheet: board-1, 2 mm thick)
(machine: Drag-knife table, 1100 x 1500)
(millimetres, feed in mm a minute)
(works from X23 Y23 to X180 Y676.4, the sheet's lower left corner lies at X20)
(Y20)
(Z0 is on the bed, under the stock)
(tools: pen <1>, board-knife <4>)
(caution: Keep hands and sleeves out of the table while it moves, know where)
(the stop button is.)
(caution: Handle blades with a tool or cut-proof gloves, and throw them away in)
(a closed container.)
(caution: Make the first run above the work, with the blade out of the holder.)
(caution: Stay with the machine while it cuts.)
(caution: No spindle runs with a drag knife: take its plug out.)
(caution: The machine's manual, the shop's rules and local codes come first.)
G21 G90 G94 G17 G40
G0 Z14
(tool 1 <pen>)
(mark board-base copy 1 line 1)
X101.5 Y70.6667
G1 Z3 F1500
Z1.8 F600
X98 F3000
Y74.1667
X99.1667 Y75.3333
X100.3333
X101.5 Y74.1667
Y70.6667
X105
Y74.1667
X103.8333 Y75.3333
X102.6667
X101.5 Y74.1667
G0 Z14
(mark board-base copy 1 line 3)
Y78.8333
G1 Z3 F1500
Z1.8 F600
Y81.1667 F3000
G0 Z14
(mark board-base copy 1 line 2)
X105 Y77.6667
G1 Z3 F1500
Z1.8 F600
X98 Y80 F3000
X105 Y82.3333
G0 Z14
(mark board-base copy 1 line 4)
Y85.8333
G1 Z3 F1500
Z1.8 F600
Y88.1667 F3000
X103.8333 Y89.3333
X102.6667
X101.5 Y88.1667
Y85.8333
X100.3333 Y84.6667
X99.1667
X98 Y85.8333
Y88.1667
X99.1667 Y89.3333
G0 Z14
(mark board-base copy 1 line 6)
X101.5 Y91.6667
G1 Z3 F1500
Z1.8 F600
Y95.1667 F3000
G0 Z14
(mark board-base copy 1 line 5)
X105 Y96.3333
G1 Z3 F1500
Z1.8 F600
Y91.6667 F3000
X98
Y96.3333
G0 Z14
(mark board-base copy 1 line 7)
X99.1667 Y113.8333
G1 Z3 F1500
Z1.8 F600
X98 Y115 F3000
X105
G0 Z14
(mark board-base copy 1 line 8)
X103.8333 Y119.6667
G1 Z3 F1500
Z1.8 F600
X105 Y120.8333 F3000
Y123.1667

Z1.6 F300
G3 X26 Y236 I3 J0 F1500
G1 Z-0.2 F300
Y129.5 F1500
Y126
G0 Z14
X0 Y0
M2
