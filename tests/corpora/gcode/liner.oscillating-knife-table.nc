(title: Rockpool folder)
(sheet: liner-1, 0.2 mm thick)
(machine: Oscillating-knife table, 1100 x 1500)
(millimetres, feed in mm a minute)
(works from X26 Y26 to X451 Y231, the sheet's lower left corner lies at X20 Y20)
(Z0 is on the bed, under the stock)
(tools: knife <3>)
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
G0 Z15.2
(tool 3 <knife>)
(before it starts the blade points 0 degrees counter-clockwise from +X)
(through-cut liner-cross copy 1 line 1)
M3 S8000
G4 P1
G0 X105.7071 Y26.8
G1 Z1.2 F2400
Z-0.3 F600
X165.688 C0 F3600
C-6.8091 F10800
X172.388 Y26 F3600
C0 F10800
X357.512 F3600
C6.8091 F10800
X364.0038 Y26.7751 F3600
C6 F10800
X445.6772 Y35.3594 F3600
G3 X451.05 Y41.3265 I-0.6272 J5.9671 C90
G1 Y215.6735
G3 X445.6772 Y221.6406 I-6 J0 C174
G1 X364.0038 Y230.2249
C173.1909 F10800
X357.512 Y231 F3600
C180 F10800
X172.388 F3600
C186.8091 F10800
X165.688 Y230.2 F3600
C180 F10800
X45.7262 F3600
G3 X41.9282 Y227.4552 I0 J-4 C251.7117
X41.9282 Y29.5448 I299.4187 J-98.9552 C288.2883
X45.7262 Y26.8 I3.798 J1.2552 C360
G1 X105.7071
X106.7071
G0 Z15.2
M5
G0 X0 Y0
M5
M2
