; title: Rockpool folder
; sheet: cloth-1, 0.3 mm thick
; machine: Servo plotter, 1050 x 1450
; millimetres, feed in mm a minute
; works from X16 Y15.9 to X463.4 Y259.5, the sheet's lower left corner lies at
; X10 Y10
; tools: pen <1>, stylus <2>, fine-knife <3>
; caution: Keep hands, hair and sleeves clear of the belts while they move, know
; where the switch is.
; caution: The servo may twitch when it is switched on: fit the blade after
; that.
; caution: Handle blades with a tool or cut-proof gloves, and throw them away in
; a closed container.
; caution: Make the first run with the pen in place of the blade.
; caution: Stay with the machine while it cuts.
; caution: The machine's manual, the shop's rules and local codes come first.
G21
G90
M280 P0 S90 ; servo up
; tool 1 <pen>
M280 P0 S90
; mark cloth-cover copy 1 line 4
G0 X174.45 Y137.5
M280 P0 S40
G4 P250
G1 Y243.2 F2400
X54.7262
G3 X47.1303 Y237.7104 I0 J-8
X47.1303 Y37.2896 I303.2167 J-100.2104
X54.7262 Y31.8 I7.5959 J2.5104
G1 X174.45
Y137.5
M280 P0 S90
G4 P150
; mark cloth-cover copy 1 line 2
G0 X177.15
M280 P0 S40
G4 P250
G1 Y31 F2400
X189.15
Y244
X177.15
Y137.5
M280 P0 S90
G4 P150
; mark cloth-cover copy 1 line 1
G0 X191.85
M280 P0 S40
G4 P250
G1 Y31 F2400
X342.85
Y244
X191.85
Y137.5
M280 P0 S90
G4 P150
; mark cloth-cover copy 1 line 6
G0 X204.8903 Y139.8333
M280 P0 S40
G4 P250
G1 X203.7236 Y141 F2400
X201.3903
X200.2236 Y139.8333
Y135.1667
X201.3903 Y134
X203.7236
X204.8903 Y135.1667
M280 P0 S90
G4 P150
; mark cloth-cover copy 1 line 7
G0 X208.3903 Y134
M280 P0 S40
G4 P250
G1 X210.7236 F2400
X211.8903 Y135.1667
Y139.8333
X210.7236 Y141
X208.3903
X207.2236 Y139.8333
Y135.1667
X208.3903 Y134
M280 P0 S90
G4 P150
; mark cloth-cover copy 1 line 8
G0 X214.2236 Y141
M280 P0 S40
G4 P250
G1 X216.5569 Y134 F2400
X218.8903 Y141
M280 P0 S90
G4 P150
; mark cloth-cover copy 1 line 10
G0 X221.2236 Y137.5
M280 P0 S40
G4 P250
G1 X224.7236 F2400
M280 P0 S90
G4 P150
; mark cloth-cover copy 1 line 9
G0 X225.8903 Y141
M280 P0 S40
G4 P250
G1 X221.2236 F2400
Y134
X225.8903
M280 P0 S90
G4 P150
; mark cloth-cover copy 1 line 11
G0 X228.2236
M280 P0 S40
G4 P250
G1 Y141 F2400
X231.7236
X232.8903 Y139.8333
Y138.6667
X231.7236 Y137.5
X228.2236
M280 P0 S90
G4 P150
; mark cloth-cover copy 1 line 12
G0 X230.5569
M280 P0 S40
G4 P250
G1 X232.8903 Y134 F2400
M280 P0 S90
G4 P150
; mark cloth-cover copy 1 line 13
G0 X252.7236
M280 P0 S40
G4 P250
G1 Y141 F2400
X249.2236 Y136.3333
X253.8903
M280 P0 S90
G4 P150
; mark cloth-cover copy 1 line 14
G0 X259.7236 Y134
M280 P0 S40
G4 P250
G1 Y141 F2400
X256.2236 Y136.3333
X260.8903
M280 P0 S90
G4 P150
; mark cloth-cover copy 1 line 15
G0 X264.3903 Y134
M280 P0 S40
G4 P250
G1 X267.8903 Y141 F2400
X263.2236
M280 P0 S90
G4 P150
; mark cloth-cover copy 1 line 17
G0 X277.2236
M280 P0 S40
G4 P250
G1 X281.8903 Y134 F2400
M280 P0 S90
G4 P150
; mark cloth-cover copy 1 line 16
G0 X277.2236
M280 P0 S40
G4 P250
G1 X281.8903 Y141 F2400
M280 P0 S90
G4 P150
; mark cloth-cover copy 1 line 18
G0