; title: Rockpool folder
; sheet: liner-1, 0.2 mm thick
; machine: Servo plotter, 1050 x 1450
; millimetres, feed in mm a minute
; works from X16 Y15.9 to X441.1 Y221.1, the sheet's lower left corner lies at
; X10 Y10
; tools: fine-knife <3>
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
; tool 3 <fine-knife>
; before it starts the blade points 0 degrees counter-clockwise from +X
M280 P0 S90
; through-cut liner-cross copy 1 line 1
G0 X96.2071 Y16.8
M280 P0 S30
G4 P300
G1 X156.188 F2400
X156.1844 Y16.7407
X162.8844 Y15.9407
X162.888 Y16
X348.012
X348.0085 Y16.0593
X354.5003 Y16.8344
X354.5011 Y16.8274
X436.1744 Y25.4116
G3 X441.05 Y31.8265 I-1.1244 J5.9149
G1 Y206.1735
G3 X435.1799 Y211.6929 I-6 J-0.5
G1 X353.5065 Y220.2771
X353.5073 Y220.2841
X347.0156 Y221.0593
X347.012 Y221
X161.888
X161.8915 Y220.9407
X155.1915 Y220.1407
X155.188 Y220.2
X35.2262
G3 X31.7713 Y216.9804 I0.5 J-4.0001
X32.0851 Y19.0701 I299.5755 J-98.4804
X36.2262 Y16.8 I3.6411 J1.7299
G1 X96.2071
X97.2071
M280 P0 S90
G4 P150
G0 X0 Y0
M280 P0 S90 ; servo up
