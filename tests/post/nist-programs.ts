/**
 * Sample programs C.1 and C.2 of NISTIR 6556, "The NIST RS274NGC Interpreter - Version 3"
 * (Kramer, Proctor, Messina, National Institute of Standards and Technology, 2000; a publication
 * of the US government).
 */
export const NIST_C1 = `(this program mills "Hello world" between X=0 and X=81 millimeters)
n0010 g21 g0 x0 y0 z50 (top of part should be on XY plane)
n0020 t1 m6 m3 f20 s4000 (use an engraver or small ball-nose endmill)
n0030 g0 x0 y0 z2
n0040 g1 z-0.5 (start H)
n0050 y10
n0060 g0 z2
n0070 y5
n0080 g1 z-0.5
n0090 x 7
n0100 g0 z2
n0110 y0
n0120 g1 z-0.5
n0130 y10
n0140 g0 z2
n0150 x11 y2.5
n0160 g1 z-0.5 (start e)
n0170 x16
n0190 g3 x13.5 y0 i-2.5
n0200 g1 x16
n0210 g0 z2
n0220 x20 y0
n0230 g1 z-0.5 (start l)
n0240 y9
n0250 g0 z2
n0260 x26
n0270 g1 z-0.5 (start l)
n0280 y0
n0290 g0 z2
n0300 x32.5
n0310 g1 z-0.5 (start o)
n0320 g2 x32.5 j2.5
n0330 g0 z2
n0340 x45 y5
n0350 g1 z-0.5 (start w)
n0360 x47 y0
n0370 x48.5 y3
n0380 x50 y0
n0390 x52 y5
n0400 g0 z2
n0410 x57.5 y0
n0420 g1 z-0.5 (start o)
n0430 g2 x57.5 j2.5
n0440 g0 z2
n0450 x64
n0460 g1 z-0.5 (start r)
n0470 y5
n0480 y4
n0490 g2 x69 r4
n0500 g0 z2
n0510 x73 y0
n0520 g1 z-0.5 (start l)
n0530 y9
n0540 g0 z2
n0550 x81
n0560 g1 z-0.5 (start d)
n0570 y0
n0580 x79.5
n0590 g2 j2.5 y5
n0600 g1 x81
n0610 g0 z50
n0620 m2
`;

/** Lines of C.2 with the value that the report states for X; null where it states none. */
export const NIST_C2: readonly (readonly [line: string, x: number | null])[] = [
  ['n0010 g21 g1 x3 f20 (expression test)', 3],
  ['n0020 x [1 + 2] (x should be 3)', 3],
  ['n0030 x [1 - 2] (x should be -1)', -1],
  ['n0040 x [1 --3] (x should be 4)', 4],
  ['n0050 x [2/5] (x should be 0.40)', 0.4],
  ['n0060 x [3.0 * 5] (x should be 15)', 15],
  ['n0070 x [0 OR 0] (x should be 0)', 0],
  ['n0080 x [0 OR 1] (x should be 1)', 1],
  ['n0090 x [2 or 2] (x should be 1)', 1],
  ['n0100 x [0 AND 0] (x should be 0)', 0],
  ['n0110 x [0 AND 1] (x should be 0)', 0],
  ['n0120 x [2 and 2] (x should be 1)', 1],
  ['n0130 x [0 XOR 0] (x should be 0)', 0],
  ['n0140 x [0 XOR 1] (x should be 1)', 1],
  ['n0150 x [2 xor 2] (x should be 0)', 0],
  ['n0160 x [15 MOD 4.0] (x should be 3)', 3],
  ['n0170 x [1 + 2 * 3 - 4 / 5] (x should be 6.2)', 6.2],
  ['n0180 x sin[30] (x should be 0.5)', 0.5],
  ['n0190 x cos[0.0] (x should be 1.0)', 1],
  ['n0200 x tan[60.0] (x should be 1.7321)', 1.7321],
  ['n0210 x sqrt[3] (x should be 1.7321)', 1.7321],
  ['n0220 x atan[1.7321]/[1.0] (x should be 60.0)', 60],
  ['n0230 x asin[1.0] (x should be 90.0)', 90],
  ['n0240 x acos[0.707107] (x should be 45.0000)', 45],
  ['n0250 x abs[20.0] (x should be 20)', 20],
  ['n0260 x abs[-1.23] (x should be 1.23)', 1.23],
  ['n0270 x round[-0.499] (x should be 0)', 0],
  ['n0280 x round[-0.5001] (x should be -1.0)', -1],
  ['n0290 x round[2.444] (x should be 2)', 2],
  ['n0300 x round[9.975] (x should be 10)', 10],
  ['n0310 x fix[-0.499] (x should be -1.0)', -1],
  ['n0320 x fix[-0.5001] (x should be -1.0)', -1],
  ['n0330 x fix[2.444] (x should be 2)', 2],
  ['n0340 x fix[9.975] (x should be 9)', 9],
  ['n0350 x fup[-0.499] (x should be 0.0)', 0],
  ['n0360 x fup[-0.5001] (x should be 0.0)', 0],
  ['n0370 x fup[2.444] (x should be 3)', 3],
  ['n0380 x fup[9.975] (x should be 10)', 10],
  ['n0390 x exp[2.3026] (x should be 10)', 10],
  ['n0400 x ln[10.0] (x should be 2.3026)', 2.3026],
  ['n0410 x [2 ** 3.0] #1=2.0 (x should be 8.0)', 8],
  ['n0420 ##1 = 0.375 (#1 is 2, so parameter 2 is set to 0.375)', null],
  ['n0430 x #2 (x should be 0.375) #3=7.0', 0.375],
  ['n0440 #3=5.0 x #3 (parameters set in parallel, so x should be 7, not 5)', 7],
  ['n0450 x #3 #3=1.1 (parameters set in parallel, so x should be 5, not 1.1)', 5],
  ['n0460 x [2 + asin[1/2.1+-0.345] / [atan[fix[4.4] * 2.1 * sqrt[16.8]] /[-18]]**2]', null],
  ['n0470 x sqrt[3**2 + 4**2] (x should be 5.0)', 5],
  ['n0480 m2', null],
];

/**
 * C.3, the cycles in three planes; remarks left out where they hold a typographic quote. Behind
 * each line: places where the cutter is lowest along the normal of the plane, inches, worked out
 * by hand from 3.5.16 and 3.5.20: in G91 R counts from where the tool stands and the bottom from R.
 */
export const NIST_C3: readonly (readonly [
  line: string,
  lowest: readonly (readonly [x: number, y: number, z: number])[],
])[] = [
  ['n0010 g20 (cycle test)', []],
  ['n0020 g17 g43 h1 m3 s1234 f16 (start in XY-plane)', []],
  ['n0030 g81 x3 y4 r0.2 z-1.1', [[3, 4, -1.1]]],
  ['n0040     x1 y0 r0 g91 l3', [[4, 4, -0.9], [5, 4, -0.9], [6, 4, -0.9]]],
  ['n0050     y-2 r0.1', [[6, 2, -0.8]]],
  ['n0060 g82 g90 x4 y5 r0.2 z-1.1 p0.6', [[4, 5, -1.1]]],
  ['n0070     x2 z-3.0 (one more G82)', [[2, 5, -3]]],
  ['n0080     g91 x-2 y2 r0 l4', [[0, 7, -2.7], [-2, 9, -2.7], [-4, 11, -2.7], [-6, 13, -2.7]]],
  ['n0090 g83 g90 x5 y6 r0.2 z-1.1 q0.21', [[5, 6, -1.1]]],
  ['n0100 g84 x6 y7 r0.2 z-1.1', [[6, 7, -1.1]]],
  ['n0110 g85 x7 y8 r0.2 z-1.1', [[7, 8, -1.1]]],
  ['n0120 g86 x8 y9 r0.2 z-1.1 p902.61', [[8, 9, -1.1]]],
  ['n0130 g87 x9 y10 r0.2 z-1.1 i0.231 j-0 k-3', [[9, 10, -3]]],
  ['n0135     g91 x1 r0.2 z-1.1 i0.231 j-0 k-3', [[10, 10, -3.6]]],
  ['n0140 g88 x10 y11 r0.2 z-1.1 p0.3333', [[20, 21, -0.4]]],
  ['n0150 g89 x11 y12 r0.2 z-1.1 p1.272', [[31, 33, -0.2]]],
  ['n0160 m4 (run spindle counterclockwise)', []],
  ['n0170 g86 x8 y9 r0.2 z-1.1 p902.61', [[39, 42, 0]]],
  ['n0180 g87 x9 y10 r0.2 z-1.1 i0.231 j-0 k-3', [[48, 52, -2.8]]],
  ['n0190 g88 x10 y11 r0.2 z-1.1 p0.3333', [[58, 63, 0.4]]],
  ['', []],
  ['n0220 g18 m3 (now run all cycles in the XZ-plane)', []],
  ['n0230 g81 z3 x4 r0.2 y-1.1', [[62, 62.1, 4.5]]],
  ['n0240     g91 z1 x0 r0 l3', [[62, 62.1, 5.5], [62, 62.1, 6.5], [62, 62.1, 7.5]]],
  ['n0260 g82 g90 z4 x5 r0.2 y-1.1 p0.6', [[5, -1.1, 4]]],
  ['n0280     g91 z-2 x2 r0 l4', [[7, 62.1, 2], [9, 62.1, 0], [11, 62.1, -2], [13, 62.1, -4]]],
  ['n0290 g83 g90 z5 x6 r0.2 y-1.1 q0.21', [[6, -1.1, 5]]],
  ['n0300 g84 z6 x7 r0.2 y-1.1', [[7, -1.1, 6]]],
  ['n0310 g85 z7 x8 r0.2 y-1.1', [[8, -1.1, 7]]],
  ['n0320 g86 z8 x9 r0.2 y-1.1 p902.61', [[9, -1.1, 8]]],
  ['n0330 g87 z9 x10 r0.2 y-1.1 k0.231 i-0 j-3', [[10, -3, 9]]],
  ['n0335     g91 z1 r0.2 y-1.1 k0.231 i-0 j-3', [[10, 59.3, 10]]],
  ['n0340 g88 z10 x11 r0.2 y-1.1 p0.3333', [[21, 62.5, 20]]],
  ['n0350 g89 z11 x12 r0.2 y-1.1 p1.272', [[33, 62.7, 31]]],
  ['', []],
  ['n0420 g19 (now run all cycles in the YZ-plane)', []],
  ['n0430 g81 y3 z4 r0.2 x-1.1', [[32.1, 66.8, 35]]],
  ['n0440     g91 y1 z0 r0 l3', [[32.1, 67.8, 35], [32.1, 68.8, 35], [32.1, 69.8, 35]]],
  ['n0460 g82 g90 y4 z5 r0.2 x-1.1 p0.6', [[-1.1, 4, 5]]],
  ['n0480     g91 y-2 z2 r0 l4', [[32.1, 2, 7], [32.1, 0, 9], [32.1, -2, 11], [32.1, -4, 13]]],
  ['n0490 g83 g90 y5 z6 r0.2 x-1.1 q0.21', [[-1.1, 5, 6]]],
  ['n0500 g84 y6 z7 r0.2 x-1.1', [[-1.1, 6, 7]]],
  ['n0510 g85 y7 z8 r0.2 x-1.1', [[-1.1, 7, 8]]],
  ['n0520 g86 y8 z9 r0.2 x-1.1 p902.61', [[-1.1, 8, 9]]],
  ['n0530 g87 y9 z10 r0.2 x-1.1 j0.231 k-0 i-3', [[-3, 9, 10]]],
  ['n0535     g91 y1 r0.2 x-1.1 j0.231 k-0 i-3', [[29.3, 10, 10]]],
  ['n0540 g88 y10 z11 r0.2 x-1.1 p0.3333', [[32.5, 20, 21]]],
  ['n0550 g89 y11 z12 r0.2 x-1.1 p1.272', [[32.7, 31, 33]]],
  ['', []],
  ['n1000 m2 (the end)', []],
]; // prettier-ignore

/** Table 6, the probing of a hole, with its figures filled in: centre X12 Y-7, diameter 30. */
export const NIST_TABLE_6 = `N010 (probe to find center and diameter of circular hole)
N050 G0 Z 20 F 150
N060 #1001=12
N070 #1002=-7
N080 #1003=-4
N090 #1004=1.5
N100 #1005=[30/2.0 - #1004]
N110 G0 X#1001 Y#1002 (move above nominal hole center)
N120 G0 Z#1003 (move into hole - to be cautious, substitute G1 for G0 here)
N130 G38.2 X[#1001 + #1005] (probe +X side of hole)
N140 #1011=#5061 (save results)
N150 G0 X#1001 Y#1002 (back to center of hole)
N160 G38.2 X[#1001 - #1005] (probe -X side of hole)
N170 #1021=[[#1011 + #5061] / 2.0] (find pretty good X-value of hole center)
N180 G0 X#1021 Y#1002 (back to center of hole)
N190 G38.2 Y[#1002 + #1005] (probe +Y side of hole)
N200 #1012=#5062 (save results)
N210 G0 X#1021 Y#1002 (back to center of hole)
N220 G38.2 Y[#1002 - #1005] (probe -Y side of hole)
N230 #1022=[[#1012 + #5062] / 2.0] (find very good Y-value of hole center)
N240 #1014=[#1012 - #5062 + [2 * #1004]] (find hole diameter in Y-direction)
N250 G0 X#1021 Y#1022 (back to center of hole)
N260 G38.2 X[#1021 + #1005] (probe +X side of hole)
N270 #1031=#5061 (save results)
N280 G0 X#1021 Y#1022 (back to center of hole)
N290 G38.2 X[#1021 - #1005] (probe -X side of hole)
N300 #1041=[[#1031 + #5061] / 2.0] (find very good X-value of hole center)
N310 #1024=[#1031 - #5061 + [2 * #1004]] (find hole diameter in X-direction)
N320 #1034=[[#1014 + #1024] / 2.0] (find average hole diameter)
N330 #1035=[#1024 - #1014] (find difference in hole diameters)
N340 G0 X#1041 Y#1022 (back to center of hole)
N345 G0 X#1034 Y#1035 (not in the table: shows what was found)
N350 M2
`;
