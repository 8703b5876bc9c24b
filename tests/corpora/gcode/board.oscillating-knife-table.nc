(title: Rockpool folder)
(sheet: board-1, 2 mm thick)
(machine: Oscillating-knife table, 1100 x 1500)
(millimetres, feed in mm a minute)
(works from X26 Y26 to X177 Y673.4, the sheet's lower left corner lies at X20)
(Y20)
(Z0 is on the bed, under the stock)
(tools: pen <1>, knife <3>)
(caution: Keep hands and sleeves out of the table while it moves, know where)
(the stop button is.)
(caution: The blade is driven and cuts a finger as fast as it cuts board:)
(change it with the drive unplugged.)
(caution: Handle blades with a tool or cut-proof gloves, and throw them away in)
(a closed container.)
(caution: Wear ear protection if the shop asks for it, and stay with the)
(machine while it cuts.)
(caution: Make the first run above the work, with the blade out of the holder.)
(caution: The machine's manual, the shop's rules and local codes come first.)
G21 G90 G94 G17 G40
G0 Z17
(tool 1 <pen>)
(mark board-base copy 1 line 1)
X101.5 Y70.6667
G1 Z3 F2400
Z1.8 F600
X98 F4800
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
G0 Z17
(mark board-base copy 1 line 3)
Y78.8333
G1 Z3 F2400
Z1.8 F600
Y81.1667 F4800
G0 Z17
(mark board-base copy 1 line 2)
X105 Y77.6667
G1 Z3 F2400
Z1.8 F600
X98 Y80 F4800
X105 Y82.3333
G0 Z17
(mark board-base copy 1 line 4)
Y85.8333
G1 Z3 F2400
Z1.8 F600
Y88.1667 F4800
X103.8333 Y89.3333
X102.6667
X101.5 Y88.1667
Y85.8333
X100.3333 Y84.6667
X99.1667
X98 Y85.8333
Y88.1667
X99.1667 Y89.3333
G0 Z17
(mark board-base copy 1 line 6)
X101.5 Y91.6667
G1 Z3 F2400
Z1.8 F600
Y95.1667 F4800
G0 Z17
(mark board-base copy 1 line 5)
X105 Y96.3333
G1 Z3 F2400
Z1.8 F600
Y91.6667 F4800
X98
Y96.3333
G0 Z17
(mark board-base copy 1 line 7)
X99.1667 Y113.8333
G1 Z3 F2400
Z1.8 F600
X98 Y115 F4800
X105
G0 Z17
(mark board-base copy 1 line 8)
X103.8333 Y119.6667
G1 Z3 F2400
Z1.8 F600

Z-0.2 F600
Y132.5 F2400
Y131.5
G0 Z17
M5
G0 X0 Y0
M5
M2
