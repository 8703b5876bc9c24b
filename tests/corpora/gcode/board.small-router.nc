(title: Rockpool folder)
(sheet: board-1, 2 mm thick)
(machine: Small router, 750 x 1050)
(millimetres, feed in mm a minute)
(works from X25.5 Y25.5 to X177.5 Y673.9, the sheet's lower left corner lies at)
(X20 Y20)
(Z0 is on the bed, under the stock)
(tools: pen <1>, bit <2>)
(caution: Wear goggles and ear protection, no gloves, loose sleeves or hair)
(near a turning bit.)
(caution: Board gives fine dust: run the extraction and wear a dust mask.)
(caution: Keep hands out of the table while it moves, know where the stop)
(button is.)
(caution: Clamp the sheet at its rim, clear of every cut, the bit throws what)
(is loose.)
(caution: Unplug the spindle before a bit is changed or the pen is fitted.)
(caution: Make the first run above the work, and stay with the machine while it)
(cuts.)
(caution: The machine's manual, the shop's rules and local codes come first.)
G21 G90 G94 G17 G40
G0 Z17
(tool 1 <pen>)
(mark board-base copy 1 line 1)
X101.5 Y70.6667
G1 Z3 F1000
Z1.8 F400
X98 F2400
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
G1 Z3 F1000
Z1.8 F400
Y81.1667 F2400
G0 Z17
(mark board-base copy 1 line 2)
X105 Y77.6667
G1 Z3 F1000
Z1.8 F400
X98 Y80 F2400
X105 Y82.3333
G0 Z17
(mark board-base copy 1 line 4)
Y85.8333
G1 Z3 F1000
Z1.8 F400
Y88.1667 F2400
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
G1 Z3 F1000
Z1.8 F400
Y95.1667 F2400
G0 Z17
(mark board-base copy 1 line 5)
X105 Y96.3333
G1 Z3 F1000
Z1.8 F400
Y91.6667 F2400
X98
Y96.3333
G0 Z17
(mark board-base copy 1 line 7)
X99.1667 Y113.8333
G1 Z3 F1000
Z1.8 F400
X98 Y115 F2400
X105
G0 Z17
(mark board-base copy 1 line 8)
X103.8333 Y119.6667
G1 Z3 F1000

Y132.5 F900
Y101.0385
G0 Z17
M5
G4 P3
G0 X0 Y0
M5
M2
