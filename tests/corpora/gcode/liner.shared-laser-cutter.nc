(title: Rockpool folder)
(sheet: liner-1, 0.2 mm thick)
(machine: Shared laser cutter, 1100 x 1500)
(millimetres, feed in mm a minute)
(works from X16 Y15.9 to X441.1 Y221.1, the sheet's lower left corner lies at)
(X10 Y10)
(tools: beam-fine <1>)
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
(tool 1 <beam-fine>)
M5
(through-cut liner-cross copy 1 line 1)
G0 X95.069 Y16.1134
M4 S220
G2 X95.7056 Y16.75 I0.6366 J0 F3000
G1 X155.685
X162.382 Y15.9504
G3 X162.388 Y15.95 I0.0064 J0.0502
G1 X347.512
G3 X347.518 Y15.9504 I-0.0004 J0.0506
G1 X354.0094 Y16.7254
X435.6824 Y25.3096
G3 X441.1 Y31.3265 I-0.6324 J6.0169
G1 Y205.6735
G3 X435.6824 Y211.6904 I-6.05 J0
G1 X354.0094 Y220.2746
X347.518 Y221.0496
G3 X347.512 Y221.05 I-0.0064 J-0.0502
G1 X162.388
G3 X162.382 Y221.0496 I0.0004 J-0.0506
G1 X155.685 Y220.25
X35.7262
G3 X31.8808 Y217.4709 I0 J-4.05
X31.8808 Y19.5291 I299.4662 J-98.9709
X35.7262 Y16.75 I3.8454 J1.2709
G1 X95.7056
G2 X96.3422 Y16.1134 I0 J-0.6366
M5
G0 X0 Y0
M5
M2
