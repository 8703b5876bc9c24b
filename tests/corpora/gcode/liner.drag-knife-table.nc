(title: Rockpool folder)
(sheet: liner-1, 0.2 mm thick)
(machine: Drag-knife table, 1100 x 1500)
(millimetres, feed in mm a minute)
(works from X26 Y25.9 to X451.1 Y231.1, the sheet's lower left corner lies at)
(X20 Y20)
(Z0 is on the bed, under the stock)
(tools: fine-knife <3>)
(caution: Keep hands and sleeves out of the table while it moves, know where)
(the stop button is.)
(caution: Handle blades with a tool or cut-proof gloves, and throw them away in)
(a closed container.)
(caution: Make the first run above the work, with the blade out of the holder.)
(caution: Stay with the machine while it cuts.)
(caution: No spindle runs with a drag knife: take its plug out.)
(caution: The machine's manual, the shop's rules and local codes come first.)
G21 G90 G94 G17 G40
G0 Z12.2
(tool 3 <fine-knife>)
(before it starts the blade points 0 degrees counter-clockwise from +X)
(through-cut liner-cross copy 1 line 1)
X106.2071 Y26.8
G1 Z1.2 F1500
Z-0.1 F400
X166.188 F3000
X166.1844 Y26.7407
X172.8844 Y25.9407
X172.888 Y26
X358.012
X358.0085 Y26.0593
X364.5003 Y26.8344
X364.5011 Y26.8274
X446.1744 Y35.4116
G3 X451.05 Y41.8265 I-1.1244 J5.9149
G1 Y216.1735
G3 X445.1799 Y221.6929 I-6 J-0.5
G1 X363.5065 Y230.2771
X363.5073 Y230.2841
X357.0156 Y231.0593
X357.012 Y231
X171.888
X171.8915 Y230.9407
X165.1915 Y230.1407
X165.188 Y230.2
X45.2262
G3 X41.7713 Y226.9804 I0.5 J-4.0001
X42.0851 Y29.0701 I299.5755 J-98.4804
X46.2262 Y26.8 I3.6411 J1.7299
G1 X106.2071
X107.2071
G0 Z12.2
X0 Y0
M2
