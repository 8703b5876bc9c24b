(title: Rockpool folder)
(sheet: board-1, 2 mm thick)
(machine: Shared laser cutter, 1100 x 1500)
(millimetres, feed in mm a minute)
(works from X14.6 Y15.9 to X167.1 Y663.5, the sheet's lower left corner lies at)
(X10 Y10)
(tools: beam <1>)
(caution: Never leave a running laser unattended, and keep the shop's)
(extinguisher within reach.)
(caution: Only stock that the shop has approved: show them its safety data)
(sheet.)
(caution: Vinyl <PVC> gives off chlorine under a beam. Treat a coated book)
(cloth as unknown until its safety data sheet is seen.)
(caution: Run the extraction and the air assist, keep the lid closed, never)
(look into the beam.)
(caution: Board chars and can smoulder: wait until it is cold and dark before)
(it is taken out.)
(caution: Make the first run with the beam off.)
(caution: The machine's manual, the shop's rules and local codes come first.)
G21 G90 G94 G17 G40
M5
(tool 1 <beam>)
M5
(mark board-base copy 1 line 1)
G0 X91.5 Y60.6667
M4 S60
G1 X88 F6000
Y64.1667
X89.1667 Y65.3333
X90.3333
X91.5 Y64.1667
Y60.6667
X95
Y64.1667
X93.8333 Y65.3333
X92.6667
X91.5 Y64.1667
M5
(mark board-base copy 1 line 3)
G0 Y68.8333
M4 S60
G1 Y71.1667 F6000
M5
(mark board-base copy 1 line 2)
G0 X95 Y67.6667
M4 S60
G1 X88 Y70 F6000
X95 Y72.3333
M5
(mark board-base copy 1 line 4)
G0 Y75.8333
M4 S60
G1 Y78.1667 F6000
X93.8333 Y79.3333
X92.6667
X91.5 Y78.1667
Y75.8333
X90.3333 Y74.6667
X89.1667
X88 Y75.8333
Y78.1667
X89.1667 Y79.3333
M5
(mark board-base copy 1 line 6)
G0 X91.5 Y81.6667
M4 S60
G1 Y85.1667 F6000
M5
(mark board-base copy 1 line 5)
G0 X95 Y86.3333
M4 S60
G1 Y81.6667 F6000
X88
Y86.3333
M5
(mark board-base copy 1 line 7)
G0 X89.1667 Y103.8333
M4 S60
G1 X88 Y105 F6000
X95
M5
(mark board-base copy 1 line 8)
G0 X93.8333 Y109.6667
M4 S60
G1 X95 Y110.8333 F6000
Y113.1667
X93.8333 Y114.3333
X92.6667
X91.5 Y113.1667
Y109.6667

G1 X16
G3 X15.91 Y229 I0 J-0.09
G1 Y122.5
G2 X14.6368 Y121.2268 I-1.2732 J0
M5
G0 X0 Y0
M5
M2
